//! The journal while something goes wrong: killed processes, several writers, no room, no permission.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::Duration;

use blockside::journal::kept::Done;
use blockside::journal::store::Store;
use blockside::journal::store::lock::Lock;

use crate::journal::case;
use crate::small;
use crate::world::{Ran, World};

/// Names the data folder to the test below when it runs as a process of its own.
const FOLDER: &str = "BLOCKSIDE_TEST_FOLDER";
/// How many cases it is to keep.
const MOST_KEPT: &str = "BLOCKSIDE_TEST_MOST";
/// The most cases such a process keeps.
const MOST: usize = 400;

/// Keeps and changes cases, and confirms each on a line. The tests below run it in processes of their own, with a folder
/// of theirs; by itself it keeps a few.
#[test]
fn what_is_kept_and_changed_is_there_as_soon_as_that_is_confirmed() {
    let own = tempfile::tempdir().expect("a folder");
    let given = std::env::var_os(FOLDER);
    let folder = given.as_deref().map_or(own.path(), Path::new);
    let most = std::env::var(MOST_KEPT).map_or(3, |most| most.parse().expect("a number"));
    let store = Store::within(folder);
    let base = small::base();
    let case = case(&base, "2026-03-04T05:06:07+01:00");
    for number in 0..most {
        let id = store.add(case.clone()).expect("kept");
        println!("\nkept {id} 0");
        let done = Done {
            action: format!("action-{number}"),
            on: "2026-03-04".parse().expect("a day"),
            note: Some("x".repeat(number * 10)),
        };
        let changed = store
            .change(&id, |case| case.kept.done.push(done))
            .expect("changed");
        println!("\nkept {id} 1");
        assert_eq!(store.find(&id).expect("there"), changed);
    }
}

fn child(folder: &Path, most: usize) -> Child {
    Command::new(std::env::current_exe().expect("this program"))
        .args([
            "--exact",
            "journal_faults::what_is_kept_and_changed_is_there_as_soon_as_that_is_confirmed",
            "--nocapture",
        ])
        .env(FOLDER, folder)
        .env(MOST_KEPT, most.to_string())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("it starts")
}

/// What a child confirmed: ids, and how many actions were noted as done.
fn confirmed(child: &mut Child, kill_after: Option<(usize, Duration)>) -> Vec<(String, usize)> {
    let out = child.stdout.take().expect("it is piped");
    let mut confirmed = Vec::new();
    for line in BufReader::new(out).lines() {
        let line = line.expect("text");
        let Some(rest) = line.strip_prefix("kept ") else {
            continue;
        };
        let (id, done) = rest.split_once(' ').expect("two words");
        confirmed.push((id.to_owned(), done.parse().expect("a number")));
        if let Some((_, pause)) = kill_after.filter(|(after, _)| *after == confirmed.len()) {
            thread::sleep(pause);
            // On Unix this is SIGKILL: nothing of the process runs any more. What it confirmed is still in the pipe.
            child.kill().expect("it can be killed");
        }
    }
    child.wait().expect("it ends");
    confirmed
}

#[test]
fn a_process_killed_at_any_moment_has_lost_nothing_that_it_confirmed() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = Store::within(folder.path());
    let mut moment = 7_u64;
    let mut all: Vec<(String, usize)> = Vec::new();
    for _ in 0..15 {
        // Knuth's generator: where within its work the process is hit differs from run to run all the same.
        moment = moment
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        let after = 1 + (moment >> 33) as usize % 12;
        let pause = Duration::from_micros((moment >> 40) % 4000);
        let mut child = child(folder.path(), MOST);
        let confirmed = confirmed(&mut child, Some((after, pause)));
        assert!(confirmed.len() >= after && confirmed.len() < 2 * MOST);
        all.extend(confirmed);
        let shelf = store.all().expect("readable");
        assert_eq!(shelf.faults, [], "something was half written");
        for (id, done) in &all {
            let case = shelf.cases.iter().find(|case| case.kept.id == *id);
            let case = case.unwrap_or_else(|| panic!("{id} was confirmed and is gone"));
            assert!(case.kept.done.len() >= *done, "{id}");
        }
    }
    // Whoever writes next clears away what was left half written.
    let base = small::base();
    store
        .add(case(&base, "2026-03-04T05:06:07+01:00"))
        .expect("kept");
    let left = fs::read_dir(store.folder()).expect("a folder");
    let left: Vec<PathBuf> = left.map(|entry| entry.expect("readable").path()).collect();
    assert!(
        left.iter()
            .all(|path| !path.to_string_lossy().contains("unfinished")),
        "{left:?}"
    );
}

#[test]
fn processes_that_keep_cases_at_once_do_not_get_into_each_others_way() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut children: Vec<Child> = (0..3).map(|_| child(folder.path(), 25)).collect();
    let mut ids: Vec<String> = children
        .iter_mut()
        .flat_map(|child| confirmed(child, None))
        .filter(|(_, done)| *done == 1)
        .map(|(id, _)| id)
        .collect();
    ids.sort();
    ids.dedup();
    assert_eq!(ids.len(), 75);
    let shelf = Store::within(folder.path()).all().expect("readable");
    assert_eq!((shelf.cases.len(), shelf.faults.len()), (75, 0));
    assert!(shelf.cases.iter().all(|case| case.kept.done.len() == 1));
}

fn save(world: &World) -> Ran {
    world.run(&["diagnose", "--save", "--sign", "long-stems"])
}

fn cases(world: &World) -> PathBuf {
    world.home.path().join("home/cases")
}

/// Names and contents of the files of a folder, but for the lock.
fn contents(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<(String, Vec<u8>)> = fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| entry.expect("readable"))
        .map(|entry| {
            (
                entry.file_name().to_string_lossy().into_owned(),
                fs::read(entry.path()),
            )
        })
        .filter(|(name, _)| name != ".lock")
        .map(|(name, bytes)| (name, bytes.expect("readable")))
        .collect();
    files.sort();
    files
}

#[test]
fn a_second_writer_waits_a_little_and_then_says_who_writes() {
    let world = World::new();
    assert_eq!(save(&world).status, 0);
    let before = contents(&cases(&world));
    let lock = Lock::take(&cases(&world)).expect("nobody else writes");
    let ran = save(&world);
    assert_eq!(ran.status, 3, "{}", ran.err);
    let who = format!("process {}", std::process::id());
    assert!(ran.err.contains(&who), "{}", ran.err);
    assert_eq!(contents(&cases(&world)), before);
    // Reading needs no lock, and waiting a little is enough where the other one is done soon.
    assert_eq!(world.run(&["cases"]).status, 0);
    let soon = thread::spawn(move || {
        thread::sleep(Duration::from_millis(300));
        drop(lock);
    });
    assert_eq!(save(&world).status, 0);
    soon.join().expect("it ends");
    assert_eq!(contents(&cases(&world)).len(), 2);
}

// No file may grow beyond nothing: the same as a full disk at the first byte, and it needs no rights.
#[cfg(unix)]
#[test]
fn without_room_nothing_is_lost_and_the_person_is_told() {
    let world = World::new();
    let id = "01";
    assert_eq!(save(&world).status, 0);
    let before = contents(&cases(&world));
    let program = world.bare().get_program().to_owned();
    for args in [
        &["diagnose", "--save", "--sign", "long-stems"][..],
        &["cases", "done", id, "more-fresh-air"],
        &["follow-up", id, "--outcome", "worked"],
    ] {
        let mut shell = Command::new("/bin/sh");
        shell
            .args(["-c", "trap '' XFSZ; ulimit -f 0; exec \"$@\"", "sh"])
            .arg(&program)
            .arg("--knowledge-only")
            .arg(small::folder())
            .args(args)
            .env_clear()
            .env("BLOCKSIDE_HOME", world.home.path().join("home"))
            .current_dir(world.home.path());
        let ran = Ran::of(shell);
        assert_eq!(ran.status, 3, "{args:?}: {}", ran.err);
        let flat = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains("cannot be written"), "{args:?}: {flat}");
        assert!(flat.contains("nothing was changed"), "{args:?}: {flat}");
        assert_eq!(contents(&cases(&world)), before, "{args:?}");
    }
    // The diagnosis itself was told all the same, before it was to be kept.
}

#[test]
fn where_the_folder_cannot_be_made_the_person_is_told() {
    let world = World::new();
    // A file stands where the folder should.
    world.file("home", "mine");
    let ran = save(&world);
    assert_eq!(ran.status, 3);
    assert!(ran.err.contains("cannot be"), "{}", ran.err);
    assert_eq!(
        fs::read_to_string(world.home.path().join("home")).expect("readable"),
        "mine"
    );
}

#[cfg(unix)]
#[test]
fn a_folder_that_may_only_be_read_is_read_and_left_as_it_is() {
    use std::os::unix::fs::PermissionsExt;
    let world = World::new();
    assert_eq!(save(&world).status, 0);
    let folder = cases(&world);
    fs::write(folder.join("20200101-01.toml"), "broken").expect("written");
    let before = contents(&folder);
    let allow = |mode| {
        fs::set_permissions(&folder, fs::Permissions::from_mode(mode)).expect("its owner may")
    };
    allow(0o500);
    // Whoever may do everything is not held back by permissions; there is nothing to see then.
    let held_back = fs::write(folder.join("probe"), "").is_err();
    let (listed, saved) = (world.run(&["cases"]), save(&world));
    allow(0o700);
    let _ = fs::remove_file(folder.join("probe"));
    if held_back {
        assert_eq!(listed.status, 0, "{}", listed.err);
        assert!(
            listed.err.contains("it was left as it is"),
            "{}",
            listed.err
        );
        assert_eq!(saved.status, 3);
        assert!(saved.err.contains("not allowed"), "{}", saved.err);
        assert_eq!(contents(&folder), before);
    }
}

#[test]
fn a_damaged_case_is_reported_and_the_others_are_listed() {
    let world = World::new();
    assert_eq!(save(&world).status, 0);
    fs::write(cases(&world).join("20200101-01.toml"), "schema = \u{1b}[2J").expect("written");
    let ran = world.run(&["cases"]);
    assert_eq!(ran.status, 0);
    assert!(
        ran.err.contains("20200101-01") && ran.err.contains("set aside"),
        "{}",
        ran.err
    );
    crate::world::assert_clean(&ran.err);
    assert_eq!(ran.out.lines().count(), 1, "{}", ran.out);
    let again = world.run(&["cases"]);
    assert_eq!((again.err.as_str(), again.out), ("", ran.out));
}
