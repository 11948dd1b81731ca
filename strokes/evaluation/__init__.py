"""How well the checks agree with labelled real ink; nothing else imports this."""
