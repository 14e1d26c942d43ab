//! How a car is set up for a table or a chart: idling with the air conditioning at its hardest,
//! unless asked otherwise.

use clap::Args;

use crate::action::Control;

/// The controls that may be asked for.
#[derive(Args, Clone, Debug, Default)]
pub struct SetUpArgs {
    /// Engine speed, such as 1500; idle where it is left out
    #[arg(long, value_name = "RPM")]
    pub rpm: Option<String>,
    /// Blower step; the highest where it is left out
    #[arg(long, value_name = "STEP")]
    pub blower: Option<String>,
    /// Intake door: recirculate or fresh; recirculate where it is left out
    #[arg(long, value_name = "WHERE")]
    pub air: Option<String>,
}

impl SetUpArgs {
    /// The first option given, if any.
    #[must_use]
    pub fn given(&self) -> Option<&'static str> {
        [
            ("--rpm", &self.rpm),
            ("--blower", &self.blower),
            ("--air", &self.air),
        ]
        .into_iter()
        .find(|(_, given)| given.is_some())
        .map(|(option, _)| option)
    }

    /// The controls to turn: air conditioning on, full cold, doors shut, and what was asked for.
    ///
    /// # Errors
    /// A sentence that names the option and says what it takes.
    pub fn controls(&self, top_step: usize) -> Result<Vec<Control>, String> {
        let engine = self.rpm.as_deref().map_or("idle".to_owned(), |rpm| {
            if rpm.trim().parse::<f64>().is_ok() {
                format!("{rpm} rpm")
            } else {
                rpm.to_owned()
            }
        });
        let blower = match &self.blower {
            Some(step) => step.clone(),
            None => top_step.to_string(),
        };
        let air = self.air.as_deref().unwrap_or("recirculate");
        let turn = |option: &str, words: String| {
            Control::parse(&words).map_err(|error| format!("{option}: {error}"))
        };
        Ok(vec![
            turn("--rpm", format!("engine {engine}"))?,
            turn("--blower", format!("blower {blower}"))?,
            turn("--air", format!("air {air}"))?,
            turn("the set-up", "ac on".to_owned())?,
            turn("the set-up", "temperature cold".to_owned())?,
            turn("the set-up", "doors closed".to_owned())?,
        ])
    }
}
