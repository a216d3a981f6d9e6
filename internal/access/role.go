package access

// Role says what somebody may do.
type Role int

const (
	None   Role = iota // nothing
	Look               // see everything that is no secret
	Change             // and change it
)
