"""What programs ask for and send: the same record and the same rules as the pages."""
