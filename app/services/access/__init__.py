"""Who may come in: adults and their roles, devices, sessions, programs with a token."""
