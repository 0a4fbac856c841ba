"""What a person should know about a block: its figures, its findings, its status.

Each kind of finding has a permanent id. `redesign` findings make a block that cannot be sewn or read well at its
size, `review` findings ask for a look, `note` findings only inform.
"""
