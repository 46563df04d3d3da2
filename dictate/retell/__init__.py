"""A network that was taught to retell an utterance as findings: a third opinion, which votes."""
