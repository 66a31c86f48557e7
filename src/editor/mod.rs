//! The server an editor speaks to: faults as one types, weights beside the lines, help where the cursor is.
