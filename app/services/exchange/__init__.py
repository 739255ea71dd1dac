"""In and out: files of loggers, measurements as CSV, the whole record as a data package."""
