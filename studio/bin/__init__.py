"""What was thrown away: out of sight for 30 days, put back by one click, then gone."""
