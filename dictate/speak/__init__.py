"""What the tool says aloud: sentences by an offline voice, and tones. It plays nothing itself."""
