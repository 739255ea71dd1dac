"""What others see of a tank: links, the sitter's stay, the door, the hand-over and its debrief."""
