"""The wet end in time: rod, drive, chambers, balls, suction column, hose and gun, compiled."""
