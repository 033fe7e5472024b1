//! polypary
