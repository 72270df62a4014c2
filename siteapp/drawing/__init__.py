"""Drawings from numbers, as SVG and DXF. Takes plain values and frozen dataclasses; knows no Flask and no models."""
