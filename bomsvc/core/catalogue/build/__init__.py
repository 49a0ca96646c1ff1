"""From records as read to entities, with the checks between fields and items."""
