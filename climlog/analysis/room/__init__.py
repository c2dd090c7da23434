"""room: is the air right, is the stock in it ready, and when will it be."""
