"""Life of parts: shapes of lives, likelihood fits, and what is believed after few failures."""
