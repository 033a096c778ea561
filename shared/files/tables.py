"""What the files that people write are made of: tables without unknown keys, and the kinds of values in them.

Never knows a file: shared.files.shopfile and shared.files.jobfile do.
"""

from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, ValidationInfo
from pydantic_core import PydanticKnownError

from shared.files.problems import refuse

WRITTEN_BITS_MAX = 64
"""A longer whole number was not meant; turning it into text could take for ever, so it is left to be refused."""


def as_text(value: Any) -> Any:
    """Numbers may be written bare or in quotes; floats are read as the decimal that was written."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    return value if isinstance(value, int) and value.bit_length() > WRITTEN_BITS_MAX else str(value)


def _no_truth(value: Any) -> Any:
    """TOML's true is no number, though Python takes it for 1."""
    if isinstance(value, bool):
        raise PydanticKnownError("float_type")
    return value


PRINT_ML_MAX = Decimal(200)
"""No print takes more: a square metre of four channels, laid down four times, is less. Common practice, no source."""
Amount = Annotated[Decimal, BeforeValidator(as_text), Field(ge=0, le=1_000_000, allow_inf_nan=False)]
Share = Annotated[Decimal, BeforeValidator(as_text), Field(ge=0, lt=1, allow_inf_nan=False)]
Number = Annotated[float, BeforeValidator(_no_truth)]
Seconds = Annotated[Number, Field(ge=0, le=86_400, allow_inf_nan=False)]
PrintMl = Annotated[Decimal, BeforeValidator(as_text), Field(ge=0, le=PRINT_ML_MAX, allow_inf_nan=False)]
Millimetres = Annotated[Decimal, BeforeValidator(as_text), Field(gt=0, le=3_000, allow_inf_nan=False)]


def _without_nul(name: str) -> str:
    """The ledger's databases do not all take it, and a name goes into every row of what it names."""
    if "\0" in name:
        raise refuse(allowed="a name without NUL", do={"name": "a name"})
    return name


Name = Annotated[str, Field(min_length=1, max_length=120), AfterValidator(_without_nul)]
Shade = Literal["light", "dark"]


def _for_the_system(text: str, info: ValidationInfo) -> str:
    if "\0" in text:
        raise refuse(allowed="a text without NUL, which no system takes", do={str(info.field_name): "a text"})
    return text


SystemText = Annotated[str, AfterValidator(_for_the_system)]
"""What is handed to the operating system: a folder, a device, a command."""


class Table(BaseModel):
    """A table of a file that people write: no key but those named, never changed after it was read."""

    model_config = ConfigDict(extra="forbid", frozen=True)
