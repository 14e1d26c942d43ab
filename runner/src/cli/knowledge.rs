//! `coldtrail knowledge`: a round of short questions, typed at or answered from a file.

use std::io::{BufRead, Read};
use std::path::{Path, PathBuf};

use clap::Args;
use scenarios::question::{Dealt, Questions};
use scenarios::units::UnitSystem;

use crate::cli::{EXIT_LINES_NOT_TAKEN, EXIT_OK, Output, Streams, Units, script};
use crate::knowledge::{Round, asked, picture, result_page, sentence, told};

/// Largest file of answers read from a pipe, bytes.
const MOST_BYTES: u64 = 256 * 1024;
/// Widest line, so that a question is one screen anywhere.
const WIDEST: usize = 78;

/// What `coldtrail knowledge` is asked.
#[derive(Args, Clone, Debug)]
pub struct KnowledgeArgs {
    /// Ask of one topic only
    #[arg(long)]
    pub topic: Option<String>,
    /// How many questions
    #[arg(long, default_value_t = 10)]
    pub count: usize,
    /// Number that picks the questions and their numbers; the same number gives the same round again
    #[arg(long)]
    pub seed: Option<u64>,
    /// Units to show
    #[arg(long, value_enum, default_value = "si")]
    pub units: Units,
    /// Take answers from a file, one a line, an empty line passes over; - for standard input
    #[arg(long, value_name = "FILE")]
    pub answers: Option<PathBuf>,
    /// Draw the charts of questions as SVG too, each into a file of this folder
    #[arg(long, value_name = "FOLDER")]
    pub picture: Option<PathBuf>,
    /// How to print the result; json wants answers
    #[arg(long, value_enum, default_value = "text")]
    pub format: Output,
}

/// Holds a round.
///
/// # Errors
/// A sentence saying why it could not be dealt or its answers not be read.
pub fn run(
    questions: &Questions,
    args: &KnowledgeArgs,
    streams: &mut Streams<'_>,
) -> Result<(String, u8), String> {
    let units = UnitSystem::from(args.units);
    let seed = args.seed.unwrap_or(streams.fresh_seed);
    let mut round = Round::deal(questions, args.topic.as_deref(), args.count, seed, units)?;
    let width = streams.width.min(WIDEST);
    match &args.answers {
        Some(path) => {
            let text = answers(path, streams.input)?;
            played(&mut round, &text, args, width)
        }
        None if args.format == Output::Json => Err(
            "--format json prints the result of given answers: give them with --answers FILE"
                .to_owned(),
        ),
        None if !streams.input_is_terminal => Err(
            "nobody can type here: give answers with --answers FILE, or --answers - for standard input"
                .to_owned(),
        ),
        None => typed(&mut round, streams, args, width),
    }
}

fn answers(path: &Path, input: &mut dyn BufRead) -> Result<String, String> {
    if path != Path::new("-") {
        return script::read(path);
    }
    let mut text = String::new();
    let read = input.take(MOST_BYTES).read_to_string(&mut text);
    read.map_err(|error| format!("the answers cannot be read: {error}"))?;
    Ok(text)
}

/// A question's screen. Where pictures are asked for and it has a chart, that is drawn, and the last line
/// says where.
fn screen(
    round: &Round,
    number: usize,
    dealt: &Dealt,
    args: &KnowledgeArgs,
    width: usize,
) -> Result<String, String> {
    let mut page = asked(round, number, dealt, width);
    let drawn = args.picture.as_ref().zip(picture(dealt));
    if let Some((folder, drawn)) = drawn {
        let path = folder.join(format!("question-{number}.svg"));
        let written = std::fs::create_dir_all(folder).and_then(|()| std::fs::write(&path, drawn));
        let shown = path.display();
        written.map_err(|error| format!("the chart {shown} cannot be written: {error}"))?;
        page.push_str(&format!("The chart is drawn in {shown}.\n"));
    }
    Ok(page)
}

/// A round from a text: the same text and seed give the same bytes.
fn played(
    round: &mut Round,
    text: &str,
    args: &KnowledgeArgs,
    width: usize,
) -> Result<(String, u8), String> {
    let (mut page, mut code) = (String::new(), EXIT_OK);
    let mut lines = text
        .lines()
        .filter(|line| !line.trim_start().starts_with('#'));
    while let Some((number, dealt)) = round.next().map(|(number, dealt)| (number, dealt.clone())) {
        let line = lines.next().unwrap_or("").trim();
        let outcome = if line.is_empty() {
            round.pass(line, None)
        } else {
            match dealt.read(line) {
                Ok(_) => round.answer(line).map_err(|error| error.to_string())?,
                Err(why) => {
                    code = EXIT_LINES_NOT_TAKEN;
                    round.pass(line, Some(&why))
                }
            }
        };
        if let Some(outcome) = outcome {
            let said = told(&dealt, outcome, width);
            let question = screen(round, number, &dealt, args, width)?;
            page.push_str(&format!("{question}> {line}\n{said}\n"));
        }
    }
    let left = lines.filter(|line| !line.trim().is_empty()).count();
    if left > 0 {
        return Err(match left {
            1 => "there is one answer more than questions".to_owned(),
            left => format!("there are {left} answers more than questions"),
        });
    }
    let result = round.result();
    match args.format {
        Output::Text => Ok((page + &result_page(&result, width), code)),
        Output::Json => serde_json::to_string_pretty(&result)
            .map(|text| (text + "\n", code))
            .map_err(|error| error.to_string()),
    }
}

/// A round at a terminal.
fn typed(
    round: &mut Round,
    streams: &mut Streams<'_>,
    args: &KnowledgeArgs,
    width: usize,
) -> Result<(String, u8), String> {
    let failed = |error: std::io::Error| format!("the terminal cannot be used: {error}");
    let seed = round.seed();
    let say = |output: &mut dyn std::io::Write, text: &str| {
        output.write_all(text.as_bytes())?;
        output.flush()
    };
    let intro =
        format!("Seed {seed}. Enter alone passes over a question; `leave` ends the round.\n\n");
    say(streams.output, &intro).map_err(failed)?;
    'round: while let Some((number, dealt)) = round.next().map(|(n, dealt)| (n, dealt.clone())) {
        let question = screen(round, number, &dealt, args, width)?;
        say(streams.output, &question).map_err(failed)?;
        let outcome = loop {
            say(streams.output, "> ").map_err(failed)?;
            let mut line = String::new();
            if streams.input.read_line(&mut line).map_err(failed)? == 0 {
                break 'round;
            }
            match line.trim() {
                "leave" => break 'round,
                "" => break round.pass("", None),
                line => match dealt.read(line) {
                    Ok(_) => break round.answer(line).map_err(|error| error.to_string())?,
                    Err(why) => say(streams.output, &(sentence(&why.0) + "\n")).map_err(failed)?,
                },
            }
        };
        if let Some(outcome) = outcome {
            let said = told(&dealt, outcome, width) + "\n";
            say(streams.output, &said).map_err(failed)?;
        }
    }
    Ok((result_page(&round.result(), width), EXIT_OK))
}
