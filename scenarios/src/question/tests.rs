use super::*;

#[test]
fn the_files_as_shipped_are_read() {
    let questions = Questions::builtin().unwrap_or_else(|errors| panic!("{errors}"));
    assert_eq!(questions.topics().len(), 10);
}

/// A file with one question: its lines after what every question has.
fn problems(lines: &str) -> Vec<(String, String)> {
    let text = format!(
        "version = 1\ntitle = \"A topic\"\n[[question]]\nid = \"one\"\ntext = \"What?\"\n\
         explanation = \"Because.\"\nsource = \"Common practice, no source\"\ntags = [\"a-tag\"]\n{lines}\n"
    );
    let file = SourceFile {
        name: "questions/topic.toml",
        text: &text,
    };
    let BankErrors(errors) = Questions::read(&[file]).unwrap_err();
    let told = errors.iter().flat_map(|error| error.problems());
    told.map(|problem| {
        let place = problem.span.clone().map_or("", |span| &text[span]);
        (problem.message.clone(), place.to_owned())
    })
    .collect()
}

/// Bad questions, what is said of them, and the text it points at.
#[test]
fn mistakes_are_told_where_they_are() {
    let table = [
        (
            "kind = \"single\"\nwrong = [\"a\", \"b\", \"c\"]",
            "a question needs its right answer in `right`",
            "\"one\"",
        ),
        (
            "kind = \"single\"\nright = [\"a\"]\nwrong = [\"b\"]",
            "a question has 3 to 9 options, one at least wrong",
            "\"one\"",
        ),
        (
            "kind = \"single\"\nright = [\"a\"]\nwrong = [\"b\", \"A \"]",
            "this is said twice",
            "\"A \"",
        ),
        (
            "kind = \"multiple\"\nright = [\"a\"]\nwrong = [\"b\", \"c\"]",
            "a `multiple` question has at least two right answers",
            "\"one\"",
        ),
        (
            "kind = \"single\"\nright = [\"a\"]\nwrong = [\"b\", \"c\"]\nsteps = [\"x\"]",
            "`steps` has no meaning in this `single` question",
            "\"x\"",
        ),
        (
            "kind = \"numeric\"\nformula = \"superheet\"\ntolerance = \"1 K\"",
            "no formula is called `superheet`",
            "\"superheet\"",
        ),
        (
            "kind = \"numeric\"\nformula = \"air-pressure-at-height\"\ninputs = { height = [\"600 m\", \"3 s\"] }\ntolerance = \"2 %\"",
            "expected a length, for example `0.4 mm`, but `3 s` is a duration",
            "[\"600 m\", \"3 s\"]",
        ),
        (
            "kind = \"numeric\"\nformula = \"air-pressure-at-height\"\ninputs = { height = [\"600 m\", \"700 m\"] }\ntolerance = \"30 %\"",
            "a tolerance is more than 0 % and at most 20 %",
            "\"30 %\"",
        ),
        (
            "kind = \"numeric\"\nformula = \"air-pressure-at-height\"\ninputs = { height = [\"600 m\", \"700 m\"] }\ntolerance = \"2 %\"",
            "the text must tell `{height}`: the answer hangs on it",
            "\"What?\"",
        ),
        (
            "kind = \"order\"\nsteps = [\"a\", \"b\"]",
            "`steps` must list 3 to 9",
            "\"one\"",
        ),
        (
            "kind = \"chart\"\nchart = \"picture\"",
            "no chart is called `picture`",
            "\"picture\"",
        ),
    ];
    for (lines, message, place) in table {
        let found = problems(lines);
        let wanted = (message.to_owned(), place.to_owned());
        assert!(found.contains(&wanted), "{lines}\n{found:#?}");
    }
}

/// Every question of both unit systems and many seeds is graded right for its key and answers to it.
#[test]
fn keys_answer_their_questions_and_others_do_not() {
    let questions = Questions::builtin().unwrap();
    for question in questions.all() {
        for seed in 0..6 {
            for units in [crate::units::UnitSystem::Us, crate::units::UnitSystem::Si] {
                let dealt = question.deal(seed, units).unwrap();
                let key = dealt.right_answer();
                let answer = dealt.read(&key);
                let answer = answer.unwrap_or_else(|error| panic!("{}: {key}: {error}", dealt.id));
                assert_eq!(dealt.grade(&answer), 1.0, "{}: {key}", dealt.id);
                let wrong = match (&dealt.body, answer) {
                    (Body::Choices { options, .. }, _) => {
                        let all = options.iter().enumerate();
                        Answer::Options(all.filter(|(_, one)| !one.1).map(|(i, _)| i).collect())
                    }
                    (Body::Number { key, tolerance, .. }, _) => {
                        Answer::Number(key + 1.01 * tolerance)
                    }
                    (_, Answer::Order(mut order)) => {
                        order.reverse();
                        Answer::Order(order)
                    }
                    (body, answer) => panic!("{body:?} {answer:?}"),
                };
                assert_eq!(dealt.grade(&wrong), 0.0, "{}", dealt.id);
                assert!(
                    !dealt.text.contains('{') && !dealt.explanation.contains('{'),
                    "{}",
                    dealt.id
                );
            }
        }
    }
}
