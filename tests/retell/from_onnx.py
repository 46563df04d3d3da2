"""Read the weights of an open network out of its ONNX form, for ``dictate teach-retelling --base``.

    python tests/retell/from_onnx.py NETWORK.onnx TOKENIZER.json FOLDER

FOLDER gets ``model.safetensors`` (half precision, called as encoders of the kind of Devlin et al.
2019 call them) and ``tokenizer.json``. Needs the packages onnx and safetensors. Products with a
table are nameless in ONNX but for the place where they stand, so they are called by that.
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import numpy as np

_KEPT = ("embeddings.", "encoder.")


def main() -> None:
    """Read the one, write the other."""
    import onnx
    from safetensors.numpy import save_file

    network, tokenizer, folder = map(Path, sys.argv[1:])
    graph = onnx.load(str(network)).graph
    tables = {one.name: onnx.numpy_helper.to_array(one) for one in graph.initializer}
    weights = {
        name: table.astype(np.float16)
        for name, table in tables.items()
        if name.startswith(_KEPT) and table.dtype.kind == "f"
    }
    for node in graph.node:
        if node.op_type == "MatMul" and node.input[1] in tables:
            name = ".".join(node.name.strip("/").split("/")[:-1]) + ".weight"
            weights[name] = np.ascontiguousarray(tables[node.input[1]].T.astype(np.float16))
    folder.mkdir(parents=True, exist_ok=True)
    save_file(weights, str(folder / "model.safetensors"))
    shutil.copy(tokenizer, folder / "tokenizer.json")


if __name__ == "__main__":
    main()
