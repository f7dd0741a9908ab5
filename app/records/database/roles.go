package database

import _ "embed"

//go:embed roles.sql
var roles string

// Roles is the SQL that sets up what operators, developers and viewers may do with
// records on a PostgreSQL server. The owner of the records runs it in their schema.
func Roles() string { return roles }
