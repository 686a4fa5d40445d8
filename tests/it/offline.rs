//! The program needs no network and asks for none: it does the same where there is none, and the operating system sees no
//! socket made.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use crate::journal_faults::not_proven;
use crate::world::World;

/// One of every kind of command, `$1` being the program and `$2` the fixtures. Any that fails ends the script.
const COMMANDS: &str = r#"
set -e
program=$1; fixtures=$2
say() { "$program" "$@" </dev/null >>out 2>>err; }
say --version
say help
say diagnose --species grey-oyster --sign long-stems --reading "co2=2900 ppm" --save
say diagnose --species grey-oyster --sign long-stems --detail --format json
say diagnose --sign long-stems --html case.html
printf 'schema = "blockside.answers/1"\ncomplaints = ["long-stems"]\n' >answers.toml
say ask --answers answers.toml
say describe --yes "leggy oysters, 2900 ppm"
say why stale-air --sign long-stems
say cases
say cases export --all
say follow-up 01 --outcome worked
say rounds done wipe-floor
say rounds --ics rounds.ics
printf 'schema = "blockside.practice-answers/1"\n[[case]]\n' >blank.toml
say practise --answers blank.toml --helper Mira --seed 7
say practise progress --helper Mira
say practise exam --seed 1 --cases 1 --html exam.html
say handbook long-stems
say handbook card --html cards.html
say chamber "$fixtures/chambers/hall-shelf.toml"
say air --temperature "18 C" --humidity "90 %"
say sensor --salt "sodium chloride" --temperature 20 --reads 78
say log "$fixtures/logs/openings.csv" --plot log.svg
say knowledge check
say knowledge list signs
say settings
say completions bash
say man
say schema diagnosis
"#;

fn fixtures() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures")
}

/// Runs the commands by another program that is given these arguments first.
fn by(world: &World, other: &str, args: &[&str], script: &str) -> std::io::Result<Output> {
    Command::new(other)
        .args(args)
        .args(["/bin/sh", "-c", script, "sh"])
        .arg(world.bare().get_program())
        .arg(fixtures())
        .env_clear()
        .env("PATH", std::env::var_os("PATH").unwrap_or_default())
        .env("BLOCKSIDE_HOME", world.home.path().join("home"))
        .current_dir(world.home.path())
        .output()
}

/// That all commands came to their end.
fn finished(world: &World, ran: &Output) {
    let said = fs::read_to_string(world.home.path().join("err")).unwrap_or_default();
    let end: String = said.lines().rev().take(12).collect::<Vec<_>>().join("\n");
    assert!(
        ran.status.success(),
        "{}{end}",
        String::from_utf8_lossy(&ran.stderr)
    );
    for name in [
        "case.html",
        "rounds.ics",
        "exam.html",
        "cards.html",
        "log.svg",
    ] {
        assert!(world.home.path().join(name).exists(), "{name}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn where_there_is_no_network_every_kind_of_command_works() {
    let world = World::new();
    // What it can see of a network is written down first.
    let script = format!("cat /proc/net/dev >net || exit 9; {COMMANDS}");
    let mut tried = by(&world, "unshare", &["--net"], &script);
    if !world.home.path().join("net").exists() {
        tried = by(&world, "unshare", &["--map-root-user", "--net"], &script);
    }
    let seen = fs::read_to_string(world.home.path().join("net")).unwrap_or_default();
    let (Ok(ran), false) = (&tried, seen.is_empty()) else {
        let why = tried.map_or_else(
            |error| error.to_string(),
            |ran| String::from_utf8_lossy(&ran.stderr).into_owned(),
        );
        return not_proven("that it works without a network", &why);
    };
    // Two lines of heading; of what is left only the loop back to itself.
    let devices: Vec<&str> = seen
        .lines()
        .skip(2)
        .filter_map(|line| line.split(':').next())
        .map(str::trim)
        .filter(|name| *name != "lo")
        .collect();
    let others = devices.iter().any(|name| name.starts_with(['e', 'w']));
    assert!(!others, "there is a network after all: {devices:?}");
    finished(&world, ran);
}

#[cfg(target_os = "linux")]
#[test]
fn no_command_makes_a_socket() {
    let world = World::new();
    let trace = [
        "-f",
        "-qq",
        "-e",
        "trace=%network",
        "-e",
        "signal=none",
        "-o",
        "trace",
    ];
    let seen = || fs::read_to_string(world.home.path().join("trace")).unwrap_or_default();
    // That the watch sees a socket where one is made; nothing listens at that port.
    let control = "exec bash -c 'exec 3<>/dev/tcp/127.0.0.1/9' 2>/dev/null";
    match by(&world, "strace", &trace, control) {
        Ok(_) if seen().contains("AF_INET") => {}
        Ok(ran) => {
            let why = String::from_utf8_lossy(&ran.stderr).into_owned();
            return not_proven(
                "that no socket is made (strace saw none where one is)",
                &why,
            );
        }
        Err(error) => {
            return not_proven("that no socket is made (strace)", &error.to_string());
        }
    }
    let ran = by(&world, "strace", &trace, COMMANDS).expect("it ran before");
    finished(&world, &ran);
    assert_eq!(seen(), "", "a call that has to do with networks");
}
