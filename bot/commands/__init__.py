"""The commands, one module each with ``run(arguments) -> exit status``; ``parser`` knows their words."""
