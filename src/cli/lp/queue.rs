//! What `lp` and `lpstat` say, read (CUPS 2, in the language `C`).

/// How a job stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum State {
    /// It is in the queue no more.
    Gone,
    /// It is being printed.
    Printing,
    /// Others come before it.
    Waiting,
    /// The printer takes jobs and prints none, and what it says to that.
    Paused(String),
    /// The queue could not be asked.
    Unknown,
}

/// Reads the job from `request id is Office-12 (1 file(s))`.
pub(super) fn job(said: &str) -> Option<String> {
    let (_, rest) = said.split_once("request id is ")?;
    let job = rest.split_whitespace().next()?;
    let (printer, number) = job.rsplit_once('-')?;

    (!printer.is_empty() && number.parse::<u64>().is_ok()).then(|| job.to_owned())
}

/// The printer of a job, whose number stands behind the last dash.
pub fn printer(job: &str) -> &str {
    job.rsplit_once('-').map_or(job, |(printer, _)| printer)
}

/// Reads how a job stands from the jobs that wait and the printer's state.
pub(super) fn state(waiting: &str, state: &str, job: &str) -> State {
    let mut lines = state.lines();
    let Some(first) = lines.next().filter(|line| line.starts_with("printer ")) else {
        return State::Unknown;
    };
    let is_in_queue = waiting
        .lines()
        .any(|line| line.split_whitespace().next() == Some(job));
    let name = format!("printer {} ", printer(job));
    let is = first.strip_prefix(&name).unwrap_or(first);

    if !is_in_queue {
        State::Gone
    } else if is.starts_with("disabled") {
        let reason = lines.next().unwrap_or_default().trim();
        State::Paused(reason.trim_end_matches('.').to_owned())
    } else if is.starts_with("now printing") && is.contains(&format!("{job}.")) {
        State::Printing
    } else {
        State::Waiting
    }
}
