"""The position and its rules: layout, grid, step, pasting, symmetry, canonical form."""
