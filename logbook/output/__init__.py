"""View models to files: templates, notes, figures, the record of what was built, safe writing."""
