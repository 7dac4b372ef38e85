//! The grid of hard conditions, a small part of it in each test run.
