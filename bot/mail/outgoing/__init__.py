"""What goes out when a member of staff presses "send": the message, its way to the submission server, what came of it."""
