package access

import "slices"

// Role says what somebody may do.
type Role int

const (
	None   Role = iota // nothing
	Look               // see everything that is no secret
	Change             // and change it
)

var roleNames = []string{"none", "look", "change"}

// String is the name of a role.
func (r Role) String() string { return roleNames[r] }

// MarshalText writes the name.
func (r Role) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// RoleOf is the role of a name, look or change.
func RoleOf(name string) (Role, bool) {
	i := slices.Index(roleNames, name)
	return Role(max(i, 0)), i > 0
}
