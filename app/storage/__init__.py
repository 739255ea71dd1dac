"""The record in a database: tables, connections, rows to snapshots. Nothing here commits."""
