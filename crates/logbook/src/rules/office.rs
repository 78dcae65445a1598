//! Who may change what the whole site relies on: people, instruments, positions, adopted files.

use crate::events::Role;
use crate::refusal::Refusal;

/// Lets the commissioning lead and the supervisor through.
///
/// # Errors
/// Any other role.
pub fn may_administer(role: Role) -> Result<(), Refusal> {
    match role {
        Role::CommissioningLead | Role::Supervisor => Ok(()),
        _ => Err(Refusal::new(
            "office_needed",
            format!("A {} does not change what the whole site relies on.", role.title()),
            "Let the commissioning lead or the supervisor enter it.",
        )),
    }
}
