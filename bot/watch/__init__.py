"""What the operator sees from outside: logs, metrics, health, and the id by which a request is followed through them."""
