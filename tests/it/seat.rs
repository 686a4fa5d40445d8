//! A program at a terminal of its own, and what that terminal shows.

use std::fs::{File, OpenOptions};
use std::io::{Read, Write};
use std::os::fd::{AsFd, OwnedFd};
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::Duration;

use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
use rustix::termios::{LocalModes, Winsize, tcgetattr, tcsetwinsize};
use vt100::Parser;

/// The arrow that points down.
pub const DOWN: &str = "\u{1b}[B";
/// The arrow that points up.
pub const UP: &str = "\u{1b}[A";

/// How often, and how long apart, something is looked for; only a failing test comes to the end of it.
const LOOKS: usize = 600;
/// After how many looks without a change a screen counts as drawn.
const STILL: usize = 6;
const APART: Duration = Duration::from_millis(50);

/// A program at a terminal.
pub struct Seat {
    pub child: Child,
    keys: File,
    terminal: OwnedFd,
    shown: Arc<Mutex<Shown>>,
}

/// What was written so far, and how a terminal shows it.
struct Shown {
    bytes: Vec<u8>,
    screen: Parser,
}

impl Seat {
    /// A seat of 30 rows and 80 columns.
    pub fn new(command: Command) -> Self {
        Self::of_size(command, 30, 80)
    }

    /// A seat of this size.
    pub fn of_size(mut command: Command, rows: u16, columns: u16) -> Self {
        let main = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).expect("a terminal");
        grantpt(&main)
            .and_then(|()| unlockpt(&main))
            .expect("it may be used");
        let name = ptsname(&main, Vec::new()).expect("it has a name");
        let terminal = OpenOptions::new()
            .read(true)
            .write(true)
            .open(name.to_str().expect("a plain name"))
            .expect("it opens");
        tcsetwinsize(&terminal, size(rows, columns)).expect("it has a size");
        let copy = || Stdio::from(terminal.try_clone().expect("it can be shared"));
        command.stdin(copy()).stdout(copy()).stderr(copy());
        let child = command.spawn().expect("it starts");
        let keys = File::from(main);
        let shown = Arc::new(Mutex::new(Shown {
            bytes: Vec::new(),
            screen: Parser::new(rows, columns, 0),
        }));
        let (mut screen, seen) = (
            keys.try_clone().expect("it can be shared"),
            Arc::clone(&shown),
        );
        thread::spawn(move || {
            let mut some = [0; 4096];
            while let Ok(count @ 1..) = screen.read(&mut some) {
                let mut seen = seen.lock().expect("nobody else fails");
                seen.bytes.extend(&some[..count]);
                seen.screen.process(&some[..count]);
            }
        });
        Self {
            child,
            keys,
            terminal: terminal.into(),
            shown,
        }
    }

    /// Everything that was written so far, as it was written.
    pub fn shown(&self) -> String {
        let shown = self.shown.lock().expect("nobody else fails");
        String::from_utf8_lossy(&shown.bytes).into_owned()
    }

    /// What the screen shows, without blanks at the ends of its lines and empty lines at its end.
    pub fn screen(&self) -> String {
        let shown = self.shown.lock().expect("nobody else fails");
        let (_, columns) = shown.screen.screen().size();
        let rows: Vec<String> = shown
            .screen
            .screen()
            .rows(0, columns)
            .map(|row| row.trim_end().to_owned())
            .collect();
        rows.join("\n").trim_end().to_owned()
    }

    /// The screen once it shows this text and stays as it is.
    pub fn screen_with(&self, text: &str) -> String {
        let (mut before, mut alike) = (String::new(), 0);
        for _ in 0..LOOKS {
            let screen = self.screen();
            let flat: Vec<&str> = screen.split_whitespace().collect();
            // On a busy machine a screen may be drawn in parts.
            alike = if screen == before { alike + 1 } else { 0 };
            if alike >= STILL && flat.join(" ").contains(text) {
                return screen;
            }
            before = screen;
            thread::sleep(APART);
        }
        panic!("{text:?} is not on the screen:\n{}", self.screen());
    }

    /// Makes the terminal larger or smaller.
    pub fn resize(&self, rows: u16, columns: u16) {
        tcsetwinsize(&self.terminal, size(rows, columns)).expect("it has a size");
        let mut shown = self.shown.lock().expect("nobody else fails");
        shown.screen.screen_mut().set_size(rows, columns);
    }

    /// Waits until this was written.
    pub fn wait_for(&self, text: &str) {
        for _ in 0..LOOKS {
            // Wherever its lines are broken.
            let shown = self.shown();
            let flat: Vec<&str> = shown.split_whitespace().collect();
            if flat.join(" ").contains(text) {
                return;
            }
            thread::sleep(APART);
        }
        panic!("{text:?} is not shown: {}", self.shown());
    }

    /// Presses these keys.
    pub fn press(&mut self, keys: &str) {
        self.keys.write_all(keys.as_bytes()).expect("it takes keys");
    }

    /// Presses Ctrl-C until the program ends: between two prompts a key may come too early to be read.
    pub fn break_off(mut self, last: &str) -> (i32, String) {
        for _ in 0..LOOKS {
            if let Some(status) = self.child.try_wait().expect("it can be waited for") {
                let modes = tcgetattr(self.terminal.as_fd()).expect("there").local_modes;
                assert!(modes.contains(LocalModes::ECHO | LocalModes::ICANON | LocalModes::ISIG));
                self.wait_for(last);
                thread::sleep(APART);
                return (status.code().expect("it ended by itself"), self.shown());
            }
            self.press("\u{3}");
            thread::sleep(APART);
        }
        panic!("it goes on: {}", self.shown());
    }
}

impl Drop for Seat {
    fn drop(&mut self) {
        // It may have ended already.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn size(rows: u16, columns: u16) -> Winsize {
    Winsize {
        ws_row: rows,
        ws_col: columns,
        ws_xpixel: 0,
        ws_ypixel: 0,
    }
}
