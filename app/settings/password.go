package settings

import (
	"net/url"
	"strings"
)

// WithoutPassword returns the address of records without the password it holds,
// and whether it held one. A file path is returned as it is.
func WithoutPassword(store string) (clean string, had bool) {
	if !strings.Contains(store, "://") {
		return store, false
	}
	u, err := url.Parse(store)
	if err != nil {
		return withoutUnparsed(store)
	}
	if _, had = u.User.Password(); had {
		u.User = url.User(u.User.Username())
	}
	query := u.Query()
	for key := range query {
		if strings.EqualFold(key, "password") || strings.EqualFold(key, "sslpassword") {
			query.Del(key)
			had = true
		}
	}
	if !had {
		return store, false
	}
	u.RawQuery = query.Encode()
	return u.String(), true
}

// withoutUnparsed cuts an address that does not parse down to its scheme and what
// follows the last @, since a password with odd characters may be the reason.
func withoutUnparsed(store string) (string, bool) {
	scheme, rest, _ := strings.Cut(store, "://")
	at := strings.LastIndex(rest, "@")
	if at < 0 {
		return store, false
	}
	return scheme + "://" + rest[at+1:], true
}
