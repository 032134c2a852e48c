"""Thin commands: the clock, the disk, the network and exit codes live only here."""
