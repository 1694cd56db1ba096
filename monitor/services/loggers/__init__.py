"""Values that loggers and sensors send by themselves."""
