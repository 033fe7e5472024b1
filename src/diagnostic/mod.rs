//! What went wrong, where, and how it looks: kind, place and wording apart. Imported by every stage, imports none.
