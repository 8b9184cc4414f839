"""What is raised in a method that Qt calls must reach whoever tells of faults, and not end the process.

Until Python 3.12, an error that comes from compiled code, as that of `int("a")`, is no exception object yet while it
leaves a method. Where Python called Qt and Qt calls such a method, PySide takes it for one and reads what is not its
own. A handler on the way makes it one.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import wraps
from types import FunctionType
from typing import Any

from PySide6.QtCore import QObject


def guard() -> None:
    """From now on let every class of Qt objects hand over errors as exception objects."""
    if sys.version_info < (3, 12):
        QObject.__init_subclass__ = classmethod(_guard_class)  # type: ignore[assignment,arg-type]


def _guard_class(made: type[QObject], **others: Any) -> None:
    """Wrap what of a class takes the place of a method of Qt's own."""
    super(QObject, made).__init_subclass__(**others)
    qt = [base for base in made.__mro__ if base.__module__.startswith("PySide6.")]
    for name, method in list(vars(made).items()):
        if isinstance(method, FunctionType) and not name.startswith("__") and any(name in vars(base) for base in qt):
            setattr(made, name, _handed_over(method))


def _handed_over(method: Callable[..., Any]) -> Callable[..., Any]:
    @wraps(method)
    def call(*arguments: Any, **named: Any) -> Any:
        try:
            return method(*arguments, **named)
        except BaseException:  # noqa: TRY203  (passing through here is what makes it an object)
            raise

    return call
