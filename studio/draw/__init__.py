"""The renderer: bodies, clothes, clubs, light, and the phone's way of recording them."""
