"""Font in, sewable foundation-pieced blocks out.

The pipeline is in :mod:`converter.pipeline`; what a run decides is a :class:`converter.model.Pattern`.
"""

__version__ = "0.1.0"
