"""What lies between the steady strokes and a spraying pump: hose, suction, balls, their cycle."""
