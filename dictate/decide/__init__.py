"""Record, ask or leave: the one stage between what a reader proposes and the record."""
