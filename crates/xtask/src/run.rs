//! Running other programs.

use std::ffi::OsStr;
use std::io::{BufRead, BufReader, Read};
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::sync::mpsc;
use std::thread;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail};

/// A command in the root of the repository without standard input, freed of what the outer cargo passed on: its
/// `CARGO_*` variables of this crate would make an inner build see other fingerprints.
pub fn command(program: impl AsRef<OsStr>) -> Command {
    let mut command = Command::new(program);
    command.current_dir(crate::paths::root()).stdin(Stdio::null());
    for (name, _) in std::env::vars_os() {
        let name_text = name.to_string_lossy();
        if name_text.starts_with("CARGO_PKG_") || name_text.starts_with("CARGO_MANIFEST") {
            command.env_remove(&name);
        }
    }
    command
}

/// The cargo that started this program, or the one on the path.
pub fn cargo() -> Command {
    command(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
}

/// Runs to the end, its output going where ours goes.
///
/// # Errors
/// If it cannot be started or does not end with status 0.
pub fn check(command: &mut Command) -> Result<()> {
    let status = command.status().with_context(|| format!("could not start {}", shown(command)))?;
    if !status.success() {
        bail!("{} ended with {status}", shown(command));
    }
    Ok(())
}

/// Runs to the end and returns what it wrote to its standard output.
///
/// # Errors
/// If it cannot be started, or does not end with status 0; the message holds what it wrote to standard error.
pub fn output(command: &mut Command) -> Result<String> {
    let output = command.output().with_context(|| format!("could not start {}", shown(command)))?;
    if !output.status.success() {
        bail!(
            "{} ended with {}: {}",
            shown(command),
            output.status,
            String::from_utf8_lossy(&output.stderr).trim()
        );
    }
    Ok(String::from_utf8_lossy(&output.stdout).into_owned())
}

/// Runs to the end, shows every line as it comes and hands each to `see` as well. Returns whether it ended well.
///
/// # Errors
/// If it cannot be started.
pub fn watch_lines(command: &mut Command, mut see: impl FnMut(&str)) -> Result<bool> {
    let mut child = command
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .with_context(|| format!("could not start {}", shown(command)))?;
    let (send, receive) = mpsc::channel();
    let streams: Vec<Box<dyn Read + Send>> = [
        child.stdout.take().map(|s| Box::new(s) as Box<dyn Read + Send>),
        child.stderr.take().map(|s| Box::new(s) as Box<dyn Read + Send>),
    ]
    .into_iter()
    .flatten()
    .collect();
    thread::scope(|scope| {
        for stream in streams {
            let send = send.clone();
            scope.spawn(move || forward_lines(stream, &send));
        }
        drop(send);
        for line in receive {
            println!("{line}");
            see(&line);
        }
    });
    Ok(child.wait()?.success())
}

/// Runs quietly for at most `limit`. Returns whether it ended well in that time; one that does not is ended.
pub fn succeeds_within(command: &mut Command, limit: Duration) -> bool {
    let Ok(mut child) = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn() else { return false };
    let end = Instant::now() + limit;
    loop {
        match child.try_wait() {
            Ok(Some(status)) => return status.success(),
            Ok(None) if Instant::now() < end => thread::sleep(Duration::from_millis(50)),
            _ => {
                let _ = child.kill();
                let _ = child.wait();
                return false;
            }
        }
    }
}

/// The first file of this name in a folder of the path.
pub fn find_program(name: &str) -> Option<PathBuf> {
    let path = std::env::var_os("PATH")?;
    let file = format!("{name}{}", std::env::consts::EXE_SUFFIX);
    std::env::split_paths(&path).map(|dir| dir.join(&file)).find(|candidate| candidate.is_file())
}

/// A command as one would type it.
pub fn shown(command: &Command) -> String {
    let mut text = command.get_program().to_string_lossy().into_owned();
    for argument in command.get_args() {
        text.push(' ');
        text.push_str(&argument.to_string_lossy());
    }
    text
}

fn forward_lines(stream: impl Read, send: &mpsc::Sender<String>) {
    let mut reader = BufReader::new(stream);
    let mut line = Vec::new();
    while matches!(reader.read_until(b'\n', &mut line), Ok(1..)) {
        while matches!(line.last(), Some(b'\n' | b'\r')) {
            line.pop();
        }
        if send.send(String::from_utf8_lossy(&line).into_owned()).is_err() {
            return;
        }
        line.clear();
    }
}
