"""One module per form of report. A report never decides anything."""
