"""What staying off central control costs in water: the ledger, the meter, and its inputs."""
