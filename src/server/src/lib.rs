//! Brasstag: the shop's web application.
