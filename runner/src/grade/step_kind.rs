//! The steps of good work that a repair's mark knows, with their names in a syllabus and their words.

/// A step of good work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StepKind {
    /// What is in the loop was known before a machine drew it in.
    Identified,
    /// The maker's numbers were read before the work.
    ReadData,
    /// Refrigerant was recovered before the loop was opened.
    Recovered,
    /// Old and new part were held side by side.
    Compared,
    /// Joints were made with the right seals and torques.
    Sealed,
    /// A compressor was turned by hand first.
    Turned,
    /// High voltage was left to somebody qualified.
    Isolated,
    /// As much oil went in as came out.
    Oiled,
    /// The bay was aired.
    Aired,
    /// Debris was flushed out.
    Flushed,
    /// The closed loop was pressed and held.
    Pressed,
    /// The pump drew long enough.
    Evacuated,
    /// The vacuum was watched.
    Held,
    /// The charge went in by mass.
    Charged,
    /// The running car was measured.
    Proved,
    /// Open places were searched for leaks.
    Searched,
}

impl StepKind {
    /// Every step, in the order a repair goes.
    pub const ALL: [Self; 16] = [
        Self::Identified,
        Self::ReadData,
        Self::Recovered,
        Self::Compared,
        Self::Sealed,
        Self::Turned,
        Self::Isolated,
        Self::Oiled,
        Self::Aired,
        Self::Flushed,
        Self::Pressed,
        Self::Evacuated,
        Self::Held,
        Self::Charged,
        Self::Proved,
        Self::Searched,
    ];

    /// Short name for a syllabus.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Identified => "identified",
            Self::ReadData => "service-data-read",
            Self::Recovered => "recovered-first",
            Self::Compared => "parts-compared",
            Self::Sealed => "joints-sealed",
            Self::Turned => "turned-by-hand",
            Self::Isolated => "isolated-by-the-qualified",
            Self::Oiled => "oil-put-back",
            Self::Aired => "bay-aired",
            Self::Flushed => "pipes-flushed",
            Self::Pressed => "pressed",
            Self::Evacuated => "evacuated",
            Self::Held => "vacuum-held",
            Self::Charged => "charged-by-mass",
            Self::Proved => "proved-running",
            Self::Searched => "searched-for-leaks",
        }
    }

    /// What was to be done, as a debrief says it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Identified => "the refrigerant was identified before a machine drew it in",
            Self::ReadData => "the service data were read before the work",
            Self::Recovered => "the refrigerant was recovered before the loop was opened",
            Self::Compared => "old and new part were laid side by side before fitting",
            Self::Sealed => "every joint opened got a new seal of its size, and its torque",
            Self::Turned => "the new compressor was turned by hand before the engine turned it",
            Self::Isolated => {
                "somebody qualified for high voltage isolated the car and worked on the compressor"
            }
            Self::Oiled => {
                "the oil that came out went back in: the label's kind, to a fifth of its amount"
            }
            Self::Aired => {
                "the bay was aired, by ventilation or fan, while refrigerant was drawn out or the loop opened"
            }
            Self::Flushed => "the pipes that debris had gone through were flushed or replaced",
            Self::Pressed => {
                "the closed loop was pressed with nitrogen or a tracer before it was evacuated, and held"
            }
            Self::Evacuated => "the pump drew for half an hour or longer before charging",
            Self::Held => "the vacuum was watched with the pump shut off before charging, and held",
            Self::Charged => "the label's charge went in by mass, into a vacuum",
            Self::Proved => "the repair was proved on the running car: vents and both gauges",
            Self::Searched => {
                "the charged loop was searched for leaks where it had been open, and none was left"
            }
        }
    }
}
