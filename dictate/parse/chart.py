"""The chart: every way to read a row of items as claims, cheapest first.

Left to right over the lattice; each active edge is a claim as far as it was read, with the claims
before it. At each item the rules of its roles are tried on every edge, and what may begin a new
claim begins one. The cheapest edges are kept, so the cost is linear in the length.
"""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files

import yaml

from dictate.parse.categories import Claim, Types
from dictate.parse.items import Item
from dictate.parse.rules.building import limb
from dictate.parse.rules.closing import BLANK, close_cost, follow
from dictate.parse.rules.table import FRESH, table
from dictate.parse.rules.values import denied_after

#: Edges kept at each item.
BEAM = 8


@lru_cache(maxsize=1)
def weights() -> dict[str, float]:
    """What each rule costs."""
    text = (files("dictate.parse") / "weights.yaml").read_text("utf-8")
    return {str(key): float(value) for key, value in yaml.safe_load(text).items()}


class Chart:
    """Parses rows of items by the table of rules."""

    def __init__(self, types: Types, costs: dict[str, float] | None = None) -> None:
        """Take the types of a grammar, and other costs than the fitted ones if given."""
        self.types = types
        self.w = costs or weights()
        self._table = table()

    def parses(
        self, items: list[Item], most: int = 1, waits: bool = False, held: int = 0
    ) -> list[Claim]:
        """The cheapest readings of a row, each as its last claim (``chain`` has all).

        ``waits``: something named before waits for its value, so that one may come first.
        ``held``: the tests that a heading lets hold.
        """
        edges = [BLANK.copy()]
        edges[0].held = held
        if waits:
            edges[0].link = "waits"
        for item in items:
            edges = self._step(edges, item)
        done: list[tuple[float, int, Claim]] = []
        for i, edge in enumerate(edges):
            if edge.eats:
                edge.reasons = (*edge.reasons, (edge.eaten[0][0], edge.eaten[-1][1]))
                edge.end = edge.eaten[-1][1]
            after = denied_after(self.types, edge) if edge.mode == "N" else None
            if after is not None:
                edge = after
                edge.cost += self.w["denied after"]
            edge.cost += close_cost(self.types, edge, self.w)
            head = any(n.tests & self.types.headable for n in edge.names) or any(
                any(r.group == "limb" for r in n.sites) and not n.tests
                for n in (*edge.names, *edge.places)
            )
            if edge.mode == "N" and edge.link == "next" and not edge.sep and not head:
                edge.cost -= self.w["cut off"]
            done.append((edge.cost, i, edge))
        done.sort()
        return [edge for _, _, edge in done[:most]]

    def _step(self, edges: list[Claim], item: Item) -> list[Claim]:
        out: list[Claim] = []
        for edge in edges:
            self._on(edge, item, out)
        if not out:  # no rule takes it: it is a word that was not understood
            for edge in edges:
                twin = edge.copy()
                twin.unknown = (*twin.unknown, (item.start, item.end))
                twin.cost += self.w["unknown"]
                out.append(twin)
        if len(out) == 1:
            return out
        out.sort(key=_cost)
        kept: list[Claim] = []
        seen: set[object] = set()
        for edge in out:
            key = (
                edge.mode,
                edge.start,
                len(edge.names),
                len(edge.places),
                len(edge.values),
                edge.pside,
                edge.side,
                edge.pneg is None,
                edge.last,
                edge.link,
                edge.names[-1].tests if edge.names else 0,
                edge.names[-1].side if edge.names else None,
                bool(edge.names and edge.names[-1].sign),
                edge.fix,
            )
            if key in seen:
                continue
            seen.add(key)
            kept.append(edge)
            if len(kept) >= BEAM:
                break
        return kept

    def _on(self, edge: Claim, item: Item, out: list[Claim]) -> None:
        role = item.roles[0]
        if role == "STOP":
            edge = self._ended(edge)
            edge.stop = True
            new = BLANK.copy()
            new.held = edge.held
            new.prev, new.cost, new.link = edge, edge.cost, "stop"
            out.append(new)
            return
        if edge.eats:
            if role == "COMMA" or (role in ("BUT", "EXCEPT")):
                edge = edge.copy()
                edge.reasons = (*edge.reasons, (edge.eaten[0][0], edge.eaten[-1][1]))
                edge.end = edge.eaten[-1][1]
                edge.eats = ""
                edge.eaten = ()
                if role == "COMMA":
                    edge.sep = "comma"
                    out.append(edge)
                    return
            else:
                edge = edge.copy()
                edge.eaten = (*edge.eaten, (item.start, item.end))
                out.append(edge)
                return
        if role == "COMMA" and edge.mode == "N" and (late := denied_after(self.types, edge)):
            late.cost += self.w["denied after"]
            late.sep = "comma"
            out.append(late)
        if role in ("COMMA", "AND"):
            twin = edge.copy()
            twin.sep = (
                "comma" if role == "COMMA" else ("comma and" if twin.sep == "comma" else "and")
            )
            if twin.pside and twin.mode != "S" and role == "COMMA":
                twin.cost += self.w["side left over"]
            if any(r.kind == "either" for r in item.readings):
                denied = twin.pneg is not None or any(
                    v.deny or v.negated or v.notdone for v in twin.values
                )
                if not denied and not twin.empty:
                    twin.doubts = (*twin.doubts, (item.start, item.end))
                    twin.oring = True
            if twin.fix and twin.end == item.start and role == "COMMA" and twin.mode == "S":
                twin.cost -= 0.7
            if twin.pneg is not None and twin.mode != "VN":
                twin.cost += self.w["dangling"] * 0.5
            unwritten = role == "COMMA" and item.start == item.end and twin.start >= 0
            if unwritten and not twin.pside:
                out.append(follow(self.types, twin, self.w))
                return
            if twin.mode == "S" and (twin.unknown or twin.asides or twin.talk) and role == "COMMA":
                out.append(follow(self.types, twin, self.w))
                return
            out.append(twin)
            return
        if role == "COLON":
            twin = edge.copy()
            if twin.mode == "N" and not twin.values and bool(twin.names):
                on = edge.copy()
                on.after_colon = True
                on.cost += self.w["colon goes on"]
                out.append(on)
            if twin.mode == "V" and any(v.notdone for v in twin.values):
                out.append(twin)
            elif twin.mode in ("N", "S") and not twin.values:
                twin.colon = True
                new = BLANK.copy()
                new.held = twin.held
                new.cost = twin.cost + close_cost(self.types, twin, self.w)
                new.prev, new.link = twin, "colon"
                if twin.start < 0:
                    out.append(edge)
                else:
                    out.append(new)
            else:
                twin.sep, twin.pprep = "comma", ""
                twin.colon = twin.mode == "NV"
                out.append(twin)
            return
        for role in item.roles:
            self._try(edge, item, role, out, 0.0)
            if edge.start >= 0 and role in FRESH and not (edge.mode == "S" and not edge.sep):
                cost = (
                    self.w["fresh after a comma"]
                    if "comma" in edge.sep
                    else self.w["fresh after and"]
                    if edge.sep
                    else self.w["fresh"]
                )
                if role == "UNKNOWN" and edge.soft:
                    cost = 0.0
                if role in ("PREP", "EDGE") and not edge.sep:
                    cost += self.w["fresh place"]
                site = "SITE" in item.roles and role in ("SITE", "TEST")
                if site and edge.last == "side" and edge.side_cut and not edge.sep:
                    cost += self.w["side cut from its site"]
                cost += self._refused(edge, item, role)
                if edge.mode == "S" and not edge.unknown and not edge.asides and not edge.pside:
                    continue
                new = follow(self.types, edge, self.w)
                self._try(new, item, role, out, cost)

    def _try(self, edge: Claim, item: Item, role: str, out: list[Claim], extra: float) -> None:
        if role == "MISC" and len(item.roles) > 1:
            extra += 0.5
        for rule in self._table.get((edge.mode, role), ()):
            twin = rule.do(self.types, edge.copy(), item, role)
            if twin is None:
                continue
            twin.cost += self.w.get(rule.name, 0.0) + extra
            twin.why = (*twin.why, rule.name)
            out.append(twin)

    def _refused(self, edge: Claim, item: Item, role: str) -> float:
        """What it costs not to let names take what stands right after them."""
        if edge.sep:
            return 0.0
        if role == "SITE" and edge.mode == "NV" and self._lacks(edge, item):
            arm = edge.last == "side" and any(r.group == "limb" for r in item.readings)
            return self.w["site refused"] * (1.75 if arm else 1.0)  # "increased both legs"
        if role == "SITE" and edge.mode == "N" and edge.names and edge.last == "name":
            name = edge.names[-1]
            fits = name.tests & ~self.types.siteless & self.types.sites(item.of_kind("site"))
            return self.w["site refused"] * (bool(fits) and not name.sites)
        if role == "VALUE" and edge.mode == "N" and self._takes(edge, item):
            return self.w["value refused"]
        return 0.0

    def _lacks(self, edge: Claim, item: Item) -> bool:
        """A site right after tests with their value, of which it was not said where."""
        bare = not (edge.places or edge.pside or any(n.sites for n in edge.names))
        sites = self.types.sites(item.of_kind("site"))
        free = any(n.tests & ~self.types.siteless & sites for n in edge.names)
        beside = not edge.side_placed or item.start == edge.end  # "reduced on the left foot"
        after = edge.last == "value" or (edge.last == "side" and beside)
        return bare and after and free

    def _takes(self, edge: Claim, item: Item) -> bool:
        """A value right after names that it fits, of which nothing was said yet."""
        names = edge.names or edge.places
        if (edge.names and (edge.places or edge.side)) or edge.pside:
            return False
        value = self.types.value(item)
        return any(
            name.mask(self.types) & value and not (name.sign or (limb(name) and not name.tests))
            for name in names
        )

    def _ended(self, edge: Claim) -> Claim:
        twin = edge.copy()
        if twin.eats:
            twin.reasons = (*twin.reasons, (twin.eaten[0][0], twin.eaten[-1][1]))
            twin.eats, twin.eaten = "", ()
        twin.cost += close_cost(self.types, twin, self.w)
        return twin


def _cost(edge: Claim) -> float:
    return edge.cost
