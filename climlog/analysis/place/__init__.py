"""place: a piece will live in this air; will its fastenings let it move."""
