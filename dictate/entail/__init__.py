"""Does what was said mean this finding? A trained opinion beside the two readers (entailment)."""
