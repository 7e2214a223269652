"""Parts, joints, hardware, places and the book, as they are read and what can be said of them."""
