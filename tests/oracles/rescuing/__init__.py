"""What the check of `tarehand rescue` is made of; `rescue.py` beside this folder is the way in."""
