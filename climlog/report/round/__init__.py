"""What a round says: one table, an index, pages under fixed names."""
