//! What is printed for people. The standard library's `println!` ends the program where the output is closed or its disk is
//! full, between two things that a command does; here the command goes on, and the loss is told at its end.

use std::fmt::Arguments;
use std::io::Write as _;
use std::sync::OnceLock;

static LOST: OnceLock<String> = OnceLock::new();

/// Prints a line, as the standard library's does.
macro_rules! println {
    ($($what:tt)*) => {
        $crate::said::line(format_args!($($what)*))
    };
}

pub fn line(what: Arguments<'_>) {
    if LOST.get().is_none()
        && let Err(why) = writeln!(std::io::stdout(), "{what}")
    {
        // Another thread's reason would do as well.
        let _ = LOST.set(why.to_string());
    }
}

/// Why something that was printed did not arrive.
pub fn lost() -> Option<&'static str> {
    LOST.get().map(String::as_str)
}
