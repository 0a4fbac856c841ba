"""Option types: lengths and sizes as makers write them, and pairs such as ``wght=800``."""

from typing import Any

import click

from converter.errors import InputError
from converter.units import parse_length, parse_size


class Length(click.ParamType):  # type: ignore[type-arg, unused-ignore]  # generic from click 8.4 on
    """A length with its unit, in mm once parsed."""

    name = "length"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Millimetres; a usage error where the text is no length."""
        if isinstance(value, float):
            return value
        try:
            return parse_length(value)
        except InputError as error:
            self.fail(str(error), param, ctx)


class Size(click.ParamType):  # type: ignore[type-arg, unused-ignore]  # generic from click 8.4 on
    """A width and height with unit, in mm once parsed."""

    name = "size"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[float, float]:
        """Width and height in mm; a usage error where the text is no size."""
        if isinstance(value, tuple):
            return value
        try:
            return parse_size(value)
        except InputError as error:
            self.fail(str(error), param, ctx)


class NamedNumber(click.ParamType):  # type: ignore[type-arg, unused-ignore]  # generic from click 8.4 on
    """``name=number``."""

    name = "name=number"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[str, float]:
        """The name and the number; a usage error for anything else."""
        if isinstance(value, tuple):
            return value
        name, sign, number = value.partition("=")
        try:
            if sign and name.strip():
                return name.strip(), float(number)
        except ValueError:
            pass
        return self.fail(f"{value!r} is not like name=number.", param, ctx)
