"""The doors to the world of pictures: files that hold video, and engines that see people in it."""
