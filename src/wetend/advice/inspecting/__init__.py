"""inspecting."""
