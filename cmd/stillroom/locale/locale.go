// Package locale lets the program start quietly where the locale is "C.UTF-8", as
// it is in most containers. The toolkit takes the "C" in it for a language, fails
// to find it and writes six lines to standard error while its packages are
// initialised, in front of whatever a command has to say.
//
// Import it for its effect. Go initialises packages in the order of their paths as
// far as their imports allow (language specification, "Program initialization"):
// this package needs only os and strings, and comes before text/template, which
// the toolkit waits for. A test of the program holds that this is so.
package locale

import (
	"os"
	"strings"
)

var _ = nameLanguage()

// nameLanguage names English as the language of messages where the locale has
// none. LANGUAGE is read by translations only: the character set stays as it is.
func nameLanguage() bool {
	if os.Getenv("LANGUAGE") != "" || !hasNoLanguage(locale()) {
		return false
	}
	return os.Setenv("LANGUAGE", "en") == nil
}

// locale is the locale of messages, by the order of POSIX (XBD 8.2).
func locale() string {
	for _, variable := range []string{"LC_ALL", "LC_MESSAGES", "LANG"} {
		if value := os.Getenv(variable); value != "" {
			return value
		}
	}
	return ""
}

// hasNoLanguage tells whether a locale is that of POSIX with a character set.
func hasNoLanguage(locale string) bool {
	return strings.HasPrefix(locale, "C.") || strings.HasPrefix(locale, "POSIX.")
}
