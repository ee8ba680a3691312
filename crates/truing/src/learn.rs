//! Learning from finished jobs: which of them count, and what they teach of a spec's odds.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use truing_engine::Visit;
use truing_engine::suspects::{Complaint, Lesson, Reweighed, Tally, reweigh};
use truing_job::closing::Conclusion;
use truing_job::edition::Standing;
use truing_job::{JobSheet, SheetError, journal, read_sheet_file};
use truing_model::Learned;
use truing_report::learn::{Fate, JobRead};
use truing_report::{LearnReport, Problem, obstacle_text, standing_text};

use crate::compiled::Compiled;
use crate::error::Error;
use crate::history::sheets;
use crate::slugs;
use crate::text::of_io;
use crate::walk::normal;

/// What jobs teach of a spec.
#[derive(Clone, Debug)]
pub struct LearnRun {
    /// What came of each job, in the order of their files.
    pub jobs: Vec<JobRead>,
    /// What proven ones counted for.
    pub learned: Learned,
    /// The spec's odds and chances with them; nothing where it lists no fault.
    pub reweighed: Option<Reweighed>,
    /// The spec as its author wrote it.
    author: Compiled,
}

impl LearnRun {
    /// The run as a report, with the file that its counts were written to.
    #[must_use]
    pub fn report<'a>(&'a self, written: Option<&'a str>) -> LearnReport<'a> {
        LearnReport {
            spec: self.author.spec(),
            jobs: &self.jobs,
            learned: &self.learned,
            reweighed: self.reweighed.as_ref(),
            written,
        }
    }
}

/// Counts what jobs teach of a spec whose author's word counts as so many jobs. Paths are sheets,
/// journals, and folders of them. A job counts where its repair is proven under this spec, once
/// whichever files it stands in; the order of the paths does not matter. What the spec has learned
/// already is left aside: all is weighed with the author's own word.
///
/// # Errors
/// Where a path names nothing, or the faults of the spec cannot be ranked.
pub fn learn(compiled: &Compiled, paths: &[PathBuf], author_jobs: f64) -> Result<LearnRun, Error> {
    let author = compiled.as_its_author_wrote_it();
    let mut files = BTreeSet::new();
    let mut jobs = Vec::new();
    for path in paths {
        let path = normal(path);
        let about = fs::metadata(&path).map_err(|error| of_io(&path, &error))?;
        if !about.is_dir() {
            files.insert(path);
            continue;
        }
        let (found, unreadable) = sheets::find(&path)?;
        files.extend(found.iter().map(|file| normal(file)));
        jobs.extend(unreadable.into_iter().map(|of| refused(of.file, vec![unread(of.why)])));
    }
    let mut read: Vec<(JobRead, Option<JobSheet>)> =
        files.iter().map(|file| job(&author, file)).collect();
    once(&mut read);
    jobs.extend(read.into_iter().map(|(job, _)| job));
    jobs.sort_by(|one, other| one.file.cmp(&other.file));
    let mut tally = Tally::default();
    for job in &jobs {
        if let Fate::Counted(lesson) = &job.fate {
            tally.add(lesson);
        }
    }
    let learned = tally.learned(author.spec(), author_jobs);
    let reweighed = reweigh(author.spec(), &learned);
    Ok(LearnRun { jobs, learned, reweighed, author })
}

fn refused(file: String, problems: Vec<Problem>) -> JobRead {
    JobRead { file, job: None, again: None, fate: Fate::Refused { problems } }
}

fn unread(why: String) -> Problem {
    Problem::new(slugs::UNREADABLE.0, why)
}

fn problems(errors: &[SheetError]) -> Vec<Problem> {
    errors.iter().map(Problem::from).collect()
}

/// Reads a job and judges it.
fn job(author: &Compiled, path: &Path) -> (JobRead, Option<JobSheet>) {
    let file = path.display().to_string();
    let sheet = match path.extension().is_some_and(|end| end == "journal") {
        true => journal::read(path)
            .map(|read| JobSheet { file: file.clone(), ..read.sheet })
            .map_err(|error| vec![unread(error.to_string())]),
        false => read_sheet_file(path).map_err(|errors| problems(&errors)),
    };
    let sheet = match sheet {
        Ok(sheet) => sheet,
        Err(problems) => return (refused(file, problems), None),
    };
    let (again, fate) = fate(author, &sheet);
    (JobRead { file, job: sheet.job.clone(), again, fate }, Some(sheet))
}

/// Whether a job counts, and whether it was judged by another edition before.
fn fate(author: &Compiled, sheet: &JobSheet) -> (Option<String>, Fate) {
    let other = |standing: &Standing| match standing {
        Standing::OtherEdition { .. } => standing_text(standing),
        _ => None,
    };
    let judged = match author.judge(sheet) {
        Ok(judged) => judged,
        Err(errors) => {
            let mut problems = problems(&errors);
            // What a sheet of another spec says besides is no mistake.
            let foreign = truing_job::slugs::SPEC_MISMATCH.0;
            if problems.iter().any(|problem| problem.slug == foreign) {
                problems.retain(|problem| problem.slug == foreign);
            }
            // That it is of another edition explains what this one has no name for.
            if let Some(text) = other(&author.standing(sheet, &[])) {
                problems.insert(0, Problem::new(slugs::EDITION_MISMATCH.0, text));
            }
            return (None, Fate::Refused { problems });
        }
    };
    let again = other(&judged.standing);
    let not = |why: String| Fate::NotCounted { why };
    if let Some(unsound) = &judged.unsound {
        return (again, not(unsound.to_string()));
    }
    let fate = match judged.conclusion {
        Conclusion::NothingRepaired => not("nothing was repaired".to_owned()),
        Conclusion::NotProven => not(not_proven(author, sheet, &judged.obstacles)),
        Conclusion::Proven => {
            let visits: Vec<Visit<'_>> = judged
                .rounds
                .iter()
                .map(|of| Visit { sheet: &of.sheet, findings: &of.findings, fitted: &of.fitted })
                .collect();
            match lesson(author, sheet, &visits) {
                Some(lesson) => Fate::Counted(lesson),
                None => {
                    not("what was repaired mends no listed fault, or nothing was measured before \
                             it"
                    .to_owned())
                }
            }
        }
    };
    (again, fate)
}

fn lesson(author: &Compiled, sheet: &JobSheet, visits: &[Visit<'_>]) -> Option<Lesson> {
    let told = sheet.complaint.is_some();
    let complaint = if told { Complaint::Told } else { Complaint::None };
    author.suspect_plan().ok()??.lesson(author.spec(), visits, complaint)
}

fn not_proven(
    author: &Compiled,
    sheet: &JobSheet,
    obstacles: &[truing_job::closing::Obstacle],
) -> String {
    if let Some(reason) = sheet.closed.as_ref().and_then(|closed| closed.reason.as_ref()) {
        return format!("it was closed with something in the way: {reason}");
    }
    let mut open = obstacles.iter().filter(|obstacle| obstacle.bears_on_proof());
    let first = open.next().map(|obstacle| obstacle_text(author.spec(), sheet, obstacle));
    match (first, open.count()) {
        (None, _) => "its repair is not proven".to_owned(),
        (Some(first), 0) => format!("its repair is not proven: {first}"),
        (Some(first), more) => format!("its repair is not proven: {first}; and {more} more"),
    }
}

/// Of the files that hold one job the first counts, if they all say the same; if they do not, none
/// does. A job is known by its number, and one without a number by all that it says.
fn once(read: &mut [(JobRead, Option<JobSheet>)]) {
    let mut numbered: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    let mut first_of: Vec<(usize, JobSheet)> = Vec::new();
    let mut same: Vec<(usize, usize)> = Vec::new();
    for (at, (job, sheet)) in read.iter().enumerate() {
        let Some(sheet) = sheet.as_ref().filter(|_| !matches!(job.fate, Fate::Refused { .. }))
        else {
            continue;
        };
        match job.job.as_deref().map(str::trim).filter(|number| !number.is_empty()) {
            Some(number) => numbered.entry(number.to_owned()).or_default().push(at),
            None => {
                let content = sheet.content();
                match first_of.iter().find(|(_, other)| *other == content) {
                    Some((first, _)) => same.push((at, *first)),
                    None => first_of.push((at, content)),
                }
            }
        }
    }
    let mut differ: Vec<(usize, String, Vec<String>)> = Vec::new();
    for (number, places) in numbered.into_iter().filter(|(_, places)| places.len() > 1) {
        let of = |at: &usize| read.get(*at);
        let alike = places.windows(2).all(|pair| match pair {
            [one, other] => of(one).zip(of(other)).is_some_and(|(a, b)| one_job(a, b)),
            _ => true,
        });
        let Some(first) = places.first().copied() else { continue };
        if alike {
            same.extend(places.iter().skip(1).map(|at| (*at, first)));
            continue;
        }
        let files = places.iter().filter_map(|at| Some(of(at)?.0.file.clone()));
        let files: Vec<String> = files.collect();
        differ.extend(places.iter().map(|at| (*at, number.clone(), files.clone())));
    }
    for (at, first) in same {
        let other = read.get(first).map(|(job, _)| job.file.clone()).unwrap_or_default();
        if let Some((job, _)) = read.get_mut(at) {
            job.fate = Fate::SameAs { other };
        }
    }
    for (at, number, files) in differ {
        let message = format!("job {number} stands in files that differ: {}", files.join(", "));
        let problem = Problem::new(slugs::JOB_TWICE.0, message).mend("name one of them");
        if let Some((job, _)) = read.get_mut(at) {
            job.fate = Fate::Refused { problems: vec![problem] };
        }
    }
}

/// Whether two files of one number hold one job: they say the same, or teach the same.
fn one_job(one: &(JobRead, Option<JobSheet>), other: &(JobRead, Option<JobSheet>)) -> bool {
    let content = |of: &Option<JobSheet>| of.as_ref().map(JobSheet::content);
    content(&one.1) == content(&other.1)
        || matches!((&one.0.fate, &other.0.fate), (Fate::Counted(a), Fate::Counted(b)) if a == b)
}
