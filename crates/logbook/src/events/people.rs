//! People: who they are, the roles that they hold, the papers that expire, the keys they sign with.

use chrono::NaiveDate;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use ledger::{Digest, PublicKey};
use ts_rs::TS;

/// The capacity in which a person acts.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema, TS,
)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Releases hold points, runs lockouts.
    CommissioningLead,
    /// Reviews records, signs dishes off.
    Supervisor,
    /// Torque, erection, drive work.
    MechanicalTechnician,
    /// Leak test, purge, fill, joints.
    GasTechnician,
    /// Isolation, insulation and relay tests.
    Electrician,
    /// Alignment, reflectance, receiver photos.
    OpticsTechnician,
    /// Limits, defocus, parameters.
    ControlsTechnician,
    /// Logger imports and calculations.
    PerformanceEngineer,
    /// Witnesses for the owner, accepts concessions.
    OwnersWitness,
    /// Witnesses for the utility.
    UtilityWitness,
    /// Reads and exports; writes nothing.
    Auditor,
    /// Stops work, audits locks.
    SafetyOfficer,
    /// Assists, and signs only their own lock.
    Trainee,
}

impl Role {
    /// The role's name in entries.
    pub fn name(self) -> &'static str {
        match self {
            Self::CommissioningLead => "commissioning_lead",
            Self::Supervisor => "supervisor",
            Self::MechanicalTechnician => "mechanical_technician",
            Self::GasTechnician => "gas_technician",
            Self::Electrician => "electrician",
            Self::OpticsTechnician => "optics_technician",
            Self::ControlsTechnician => "controls_technician",
            Self::PerformanceEngineer => "performance_engineer",
            Self::OwnersWitness => "owners_witness",
            Self::UtilityWitness => "utility_witness",
            Self::Auditor => "auditor",
            Self::SafetyOfficer => "safety_officer",
            Self::Trainee => "trainee",
        }
    }

    /// True when a bond's role text names this role.
    pub(crate) fn is_named(self, text: &str) -> bool {
        self.name() == text
    }

    /// The role in plain words.
    pub fn title(self) -> &'static str {
        match self {
            Self::CommissioningLead => "commissioning lead",
            Self::Supervisor => "supervisor",
            Self::MechanicalTechnician => "mechanical technician",
            Self::GasTechnician => "gas technician",
            Self::Electrician => "electrician",
            Self::OpticsTechnician => "optics technician",
            Self::ControlsTechnician => "controls technician",
            Self::PerformanceEngineer => "performance engineer",
            Self::OwnersWitness => "owner's witness",
            Self::UtilityWitness => "utility witness",
            Self::Auditor => "auditor",
            Self::SafetyOfficer => "safety officer",
            Self::Trainee => "trainee",
        }
    }
}

/// A role with the days on which the person holds it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct RoleHeld {
    /// Which role.
    pub role: Role,
    /// First day.
    pub from: NaiveDate,
    /// Last day, where there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub until: Option<NaiveDate>,
}

/// A qualification on paper: licence, ticket, briefing, induction.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct Paper {
    /// What it is, as checklists name it, such as `hydrogen-ticket`.
    pub kind: String,
    /// Its number, as printed.
    pub number: String,
    /// Day of issue.
    pub issued: NaiveDate,
    /// Last day on which it is good, where it expires.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub expires: Option<NaiveDate>,
    /// The scan, attached to the same entry.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional, type = "string")]
    pub scan: Option<Digest>,
}

/// A person joins the site's list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct PersonEnrolled {
    /// Opaque id; never a name, never used again for somebody else.
    pub person: String,
    /// The name as the person writes it.
    pub name: String,
    /// Who employs them.
    pub employer: String,
    /// Roles, at least one.
    pub roles: Vec<RoleHeld>,
    /// Papers shown on enrolment.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(optional, as = "Option<Vec<Paper>>")]
    pub papers: Vec<Paper>,
}

/// A paper was shown later, or renewed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct PaperRecorded {
    /// Whose.
    pub person: String,
    /// The paper.
    pub paper: Paper,
}

/// An installation certified a person's key.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PersonCertified {
    /// Whose key.
    pub person: String,
    /// The public key: base64 of its SPKI DER.
    pub key: PublicKey,
    /// The certificate: base64 of its DER.
    pub certificate: String,
}
