"""An examination in its folder: one history, from which the record is worked out.

``Examination`` is what an interface calls: hear, correct, answer, sign, undo. What happens is an
event in the folder's journal, and the record is what the events come to (``fold.py``).
"""

from dictate.examination.examination import Examination, key_of, key_of_question
from dictate.examination.steps import Step

__all__ = ["Examination", "Step", "key_of", "key_of_question"]
