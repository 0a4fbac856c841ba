"""A longer search for faults than the tests make: hostile input through the real commands.

    python -m tests.fuzz --minutes 30                      # all families
    python -m tests.fuzz --minutes 5 --family drawings --seed 7
    python -m tests.fuzz --kept 200                        # ``check`` on the hostile drawings that tests keep
    python -m tests.fuzz --case drawings:7:1234            # one case again; its files are left to look at

A family is a module in ``tests/fuzz/families`` with one function, ``case(dice) -> Case``: the same dice, the same
case. What must hold after any command, whatever it was given, is held in ``running.faults_of``; what must hold of
one family besides goes into its cases' ``also``.
"""
