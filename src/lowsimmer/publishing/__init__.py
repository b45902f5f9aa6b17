"""Results for people and for scripts: JSON records, plain text, pictures. Nothing is computed here."""
