package soundcard

// OpenTwo is Open for tests of two streams: it never runs both directions in one.
func OpenTwo() (*Card, error) {
	c, err := Open()
	if err == nil {
		c.neverOne = true
	}
	return c, err
}
