//! words → moves: the only place with modal state.
