//! People: what a learner does in the bay, what it proves, and how it is told.
//!
//! Read in this order: an [`action`] is what a learner does; a [`session`]
//! applies actions to a car, and the [`workshop`] repairs it; the [`bay`] adds readings, notebook and clock, and
//! [`safety`] its slips, [`aftermath`] those that show in what came of it and [`advice`] notes that are no
//! slip; [`evidence`] runs the session again
//! on other cars; [`grade`] weighs it; [`debrief`] puts it into words. Beside that, [`record`] writes
//! runs as tables and [`chart`] draws them; [`knowledge`] asks short questions; [`records`]
//! keeps what an examination is made of, [`invigilate`] puts sittings into it, and [`figures`] counts what people and tasks show; [`draw`] is the car
//! and its instruments as pictures, and [`page`] serves them to a browser.

pub mod action;

pub mod session;

mod followed;

mod ports;

mod filling;

pub mod workshop;

pub mod safety;

pub mod aftermath;

pub mod advice;

pub mod bay;

pub mod bundle;

pub mod evidence;

pub mod cache;

pub mod author;

pub mod show;

pub mod grade;

pub mod debrief;

pub mod record;

pub mod chart;

pub mod draw;

pub mod kept;

pub mod knowledge;

pub mod assess;

pub mod invigilate;

pub mod page;

pub mod records;

pub mod figures;

pub mod cli;
