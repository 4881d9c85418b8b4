"""What every other part talks about: places, findings, sizes, quantities, components and the hookup graph."""
