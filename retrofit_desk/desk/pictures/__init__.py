"""Drawings from plain values: painted on the window, an image or an SVG alike."""
