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

// No file may grow beyond nothing: as on a full disk nothing can be written, and it needs no rights.
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

/// Says past the harness, which keeps what a passing test prints to itself, that something could not be proven here.
#[cfg(unix)]
fn not_proven(test: &str, why: &str) {
    use std::io::Write;
    let _ = writeln!(std::io::stderr(), "NOT PROVEN HERE: {test}: {why}");
}

/// That saving was refused with these words, and that listing went on and left the broken file where it was.
#[cfg(unix)]
fn held_back(listed: &Ran, saved: &Ran, said: &str) {
    assert_eq!(listed.status, 0, "{}", listed.err);
    assert!(
        listed.err.contains("it was left as it is"),
        "{}",
        listed.err
    );
    assert_eq!(listed.out.lines().count(), 1, "{}", listed.out);
    let flat = saved.err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(saved.status, 3, "{flat}");
    assert!(
        flat.contains(said) && flat.contains("nothing was changed"),
        "{flat}"
    );
}

/// The user and group that nobody's files belong to.
#[cfg(unix)]
const NOBODY: u32 = 65_534;

// Whoever may do everything is not held back by permissions: run by such a one, the test gives the folder to somebody
// else and runs the program, a copy in reach of that one, in their name.
#[cfg(unix)]
#[test]
fn a_folder_that_may_only_be_read_is_read_and_left_as_it_is() {
    use std::os::unix::fs::{PermissionsExt, chown};
    use std::os::unix::process::CommandExt;
    let world = World::new();
    assert_eq!(save(&world).status, 0);
    let folder = cases(&world);
    fs::write(folder.join("20200101-01.toml"), "broken").expect("written");
    let before = contents(&folder);
    let probe = folder.join("probe");
    let allow = |mode| {
        fs::set_permissions(&folder, fs::Permissions::from_mode(mode)).expect("its owner may")
    };
    allow(0o500);
    let almighty = fs::write(&probe, "").is_ok();
    let program = world.home.path().join("program");
    if almighty {
        fs::remove_file(&probe).expect("whoever wrote it may");
        fs::copy(world.bare().get_program(), &program).expect("copied");
        let home = world.home.path();
        let knowledge = home.join("knowledge");
        fs::create_dir(&knowledge).expect("made");
        for entry in fs::read_dir(small::folder()).expect("a folder") {
            let from = entry.expect("readable").path();
            fs::copy(&from, knowledge.join(from.file_name().expect("a name"))).expect("copied");
        }
        let mut everything = vec![home.to_owned(), home.join("home"), folder.clone()];
        everything.extend(
            fs::read_dir(&folder)
                .expect("a folder")
                .map(|entry| entry.expect("readable").path()),
        );
        for path in everything {
            chown(&path, Some(NOBODY), Some(NOBODY)).expect("the almighty may");
        }
    }
    let run = |args: &[&str]| {
        if !almighty {
            return world.run(args);
        }
        let mut command = Command::new(&program);
        command
            .arg("--knowledge-only")
            .arg("knowledge")
            .args(args)
            .env_clear()
            .env("BLOCKSIDE_HOME", world.home.path().join("home"))
            .current_dir(world.home.path())
            .stdin(Stdio::null())
            .uid(NOBODY)
            .gid(NOBODY);
        Ran::of(command)
    };
    let (listed, saved) = (
        run(&["cases"]),
        run(&["diagnose", "--save", "--sign", "long-stems"]),
    );
    assert_eq!(contents(&folder), before);
    held_back(&listed, &saved, "not allowed");
    // The same hands may write as soon as the folder lets them: it was the folder that held them back.
    allow(0o700);
    let saved = run(&["diagnose", "--save", "--sign", "long-stems"]);
    assert_eq!(saved.status, 0, "{}", saved.err);
}

/// Runs a script with mounts of its own, in which `$1` is the program, `$2` its knowledge and `$3` the data folder, and
/// gives back what each command marked `step` came to; `None` with the reason where the machine does not allow it.
#[cfg(target_os = "linux")]
fn with_mounts(world: &World, script: &str) -> Result<Vec<Ran>, String> {
    const STEP: &str = "run() { \"$program\" --knowledge-only \"$knowledge\" \"$@\"; }\n\
        step() { n=$((n+1)); s=0; run \"$@\" >out.$n 2>err.$n </dev/null || s=$?; echo $s >status.$n; }\n\
        program=$1; knowledge=$2; home=$3; n=0; set -e; export BLOCKSIDE_HOME=\"$home\"\n";
    let given = |command: &mut Command| {
        command
            .args(["--mount", "/bin/sh", "-c", &format!("{STEP}{script}"), "sh"])
            .arg(world.bare().get_program())
            .arg(small::folder())
            .arg(world.home.path().join("home"))
            .current_dir(world.home.path())
            .stdin(Stdio::null());
    };
    let mut tried = Command::new("unshare");
    given(&mut tried);
    let mut output = tried
        .output()
        .map_err(|error| format!("unshare: {error}"))?;
    if !output.status.success() && !world.home.path().join("status.1").exists() {
        // Whoever is not almighty may be so among mounts of their own.
        let mut tried = Command::new("unshare");
        tried.arg("--map-root-user");
        given(&mut tried);
        output = tried
            .output()
            .map_err(|error| format!("unshare: {error}"))?;
    }
    if !output.status.success() {
        return Err(String::from_utf8_lossy(&output.stderr).into_owned());
    }
    let read = |name: String| fs::read_to_string(world.home.path().join(name));
    let mut steps = Vec::new();
    while let Ok(status) = read(format!("status.{}", steps.len() + 1)) {
        let number = steps.len() + 1;
        steps.push(Ran {
            status: status.trim().parse().expect("a number"),
            out: read(format!("out.{number}")).expect("written"),
            err: read(format!("err.{number}")).expect("written"),
        });
    }
    Ok(steps)
}

#[cfg(target_os = "linux")]
#[test]
fn on_a_disk_that_may_only_be_read_cases_are_read_and_none_is_kept() {
    let world = World::new();
    assert_eq!(save(&world).status, 0);
    let folder = cases(&world);
    fs::write(folder.join("20200101-01.toml"), "broken").expect("written");
    let before = contents(&folder);
    let steps = with_mounts(
        &world,
        "mount --bind \"$home\" \"$home\"; mount -o remount,bind,ro \"$home\"\n\
         step cases\nstep diagnose --save --sign long-stems\n",
    );
    match steps.as_deref() {
        Ok([listed, saved]) => held_back(listed, saved, "writing there is not allowed"),
        Ok(_) => panic!("two commands were to run"),
        Err(why) => not_proven("a disk that may only be read", why),
    }
    assert_eq!(contents(&folder), before);
}

#[cfg(target_os = "linux")]
#[test]
fn on_a_full_disk_nothing_is_lost_and_once_there_is_room_it_goes_on() {
    let world = World::new();
    fs::create_dir(world.home.path().join("home")).expect("made");
    // A disk of sixty-four kilobytes, filled to its last byte by something else.
    let steps = with_mounts(
        &world,
        "mount -t tmpfs -o size=64k none \"$home\"\n\
         step diagnose --save --sign long-stems\n\
         cp -r \"$home\"/cases before\n\
         cat /dev/zero >\"$home\"/filler 2>/dev/null || true\n\
         step diagnose --save --sign long-stems\n\
         step cases done 01 more-fresh-air\n\
         step follow-up 01 --outcome worked\n\
         step cases\n\
         cp -r \"$home\"/cases after\n\
         rm \"$home\"/filler\n\
         step follow-up 01 --outcome worked\n",
    );
    let steps = match steps {
        Ok(steps) => steps,
        Err(why) => return not_proven("a full disk", &why),
    };
    let [kept, refused @ .., listed, gone_on] = &steps[..] else {
        panic!("six commands were to run");
    };
    assert_eq!(
        (kept.status, listed.status, gone_on.status),
        (0, 0, 0),
        "{}{}{}",
        kept.err,
        listed.err,
        gone_on.err
    );
    assert_eq!(refused.len(), 3);
    for ran in refused {
        let flat = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(ran.status, 3, "{flat}");
        assert!(
            flat.contains("the disk is full") && flat.contains("nothing was changed"),
            "{flat}"
        );
    }
    let of = |name| contents(&world.home.path().join(name));
    assert_eq!(of("before").len(), 1);
    assert_eq!(of("after"), of("before"));
    assert_eq!(listed.out.lines().count(), 1, "{}", listed.out);
    assert!(gone_on.out.contains("It worked"), "{}", gone_on.out);
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
