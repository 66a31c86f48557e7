//! Versions begin to be kept: a git repository is made in the folder. `/versions/begin`.

use super::FilledIn;
use crate::keeping::{Against, Patience, begin_history};
use crate::server::pages::versions::{back, begun, page};
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::workroom::Workroom;
use axum::http::StatusCode;

/// Makes the repository, with a first version of every file.
///
/// # Errors
/// None: what stands against it is told on the page, where what was typed is still there.
pub fn begin(workroom: &Workroom, typed: &Asked) -> Result<FilledIn, Refusal> {
    let name = typed.get("name").map(String::as_str).unwrap_or_default();
    let from = back(typed);
    Ok(match begin_history(workroom.folder(), name, Patience::GivesUp) {
        Ok(made) => FilledIn { page: begun(made.files, &from), status: StatusCode::OK, goes_to: None },
        Err(why) => {
            let status = match why.against {
                Against::Asked | Against::Changed => StatusCode::BAD_REQUEST,
                Against::Busy => StatusCode::SERVICE_UNAVAILABLE,
                Against::Disk => StatusCode::INTERNAL_SERVER_ERROR,
            };
            FilledIn { page: page(workroom, &from, name, Some(&why.sentence)), status, goes_to: None }
        }
    })
}
