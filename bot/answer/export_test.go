package answer

// Citations gives tests the sources that answers name.
func Citations() map[string]string { return citations }
