"""Find an entry by its symptom; the only importer of Whoosh."""
