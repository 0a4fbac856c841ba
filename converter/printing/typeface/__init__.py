"""The typeface of the printed pages, and nothing else: Atkinson Hyperlegible Next, regular and bold.

It is made to tell I from l from 1, and O from 0, which a template's tag must. Licence: SIL Open Font License
1.1, no reserved name (``OFL.txt``). Provenance: npm, ``@expo-google-fonts/atkinson-hyperlegible-next`` 0.4.1,
files unchanged; sha256 60f8c1a1b2e7da47ff7af95c3e5b5b1232ca5b3771e93eb587784f08fb1e6650 (regular) and
4ba7415b7095e546720446b6d47daa95d6f482d9fd40c729793e21d67cc9f366 (bold).
"""
