"""An independent reading of what a set of jars takes; shares no code with the program."""
