"""Lives here: each change of the shape of the database, in order. Never here: an import of the tables of today."""
