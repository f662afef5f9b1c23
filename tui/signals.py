"""Being told to end by another program or by a closing terminal is like Ctrl-C: the motor is stopped first."""

from __future__ import annotations

import signal
import threading

#: Signals that ask a program to end, as far as the system has them.
ASKS_TO_END = ("SIGTERM", "SIGHUP", "SIGBREAK")


def end_as_by_keyboard() -> None:
    """Turn those signals into KeyboardInterrupt from now on."""
    if threading.current_thread() is not threading.main_thread():
        return
    for name in ASKS_TO_END:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is signal.SIG_DFL:
            signal.signal(number, signal.default_int_handler)
