"""Compile a function that others call as a part of them, once, instead of as a whole program of its own.

The compiler turns every function that it meets into machine code, and takes the code of all it calls through
every optimising pass again. A future is some 170 functions, six deep, so most of that work is thrown away.
A `Kernel` called from compiled code hands over its raw code alone: whatever Python calls is optimised
with all its parts in one go.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from numba.core import compiler, sigutils, typing
from numba.core.codegen import JITCodeLibrary
from numba.core.compiler_lock import global_compiler_lock
from numba.core.registry import CPUDispatcher


class _PartLibrary(JITCodeLibrary):  # type: ignore[misc]
    """Code that is linked into its callers only: neither optimised nor made ready to run."""

    def finalize(self) -> None:
        self._raise_if_finalized()
        for library in dict.fromkeys(self._linking_libraries):
            self._reload_init.update(library._reload_init)
            self._final_module.link_in(library._get_module_for_linking(), preserve=True)
        self._finalized = True


class Kernel(CPUDispatcher):  # type: ignore[misc]
    """A compiled function; as `numba.njit` makes it for Python, as a part for other compiled functions."""

    def __init__(self, function: Callable[..., Any], **options: Any) -> None:
        super().__init__(function, locals={}, targetoptions=options)
        self._parts: dict[tuple[Any, ...], Any] = {}

    def _part(self, args: tuple[Any, ...]) -> Any:
        """The raw code for some types of arguments."""
        with global_compiler_lock:
            if args not in self._parts:
                flags = compiler.Flags()
                self.targetdescr.options.parse_as_flags(flags, self.targetoptions)
                flags.no_compile = flags.no_cpython_wrapper = flags.no_cfunc_wrapper = True
                library = _PartLibrary(self.targetctx.codegen(), self.py_func.__qualname__)
                part = compiler.compile_extra(
                    self.typingctx, self.targetctx, self.py_func, args, None, flags, {}, library
                )
                library.finalize()
                self.targetctx.insert_user_function((self, args), part.fndesc, [library])
                self._parts[args] = part
            return self._parts[args]

    def get_call_template(self, args: Any, kws: Any) -> Any:
        """How the compiler asks what a call from other compiled code returns."""
        signature, args = self._compiler.fold_argument_types(args, kws)
        self._part(tuple(args))
        name = self.py_func.__name__
        known = [part.signature for part in self._parts.values()]
        return typing.make_concrete_template(f"Part({name})", name, known), signature, args, {}

    def get_overload(self, sig: Any) -> Any:
        """The name under which the compiler finds the code of such a call."""
        args, _result = sigutils.normalize_signature(sig)
        return self, tuple(args)
