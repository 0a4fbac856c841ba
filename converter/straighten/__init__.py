"""From a placed outline to figures with straight edges that are true to it and cheap to sew."""
