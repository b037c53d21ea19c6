"""The plain values every layer speaks: stated or not, figures with range and source, quantities, errors."""
