"""What the coordinator writes: checked, frozen, with every problem collected."""
