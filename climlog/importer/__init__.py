"""File in, checked Log out; sheets in, board records out."""
