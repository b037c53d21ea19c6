"""What the window and the command line can ask for: one class per subject, plain values out."""
