package database

import "strings"

// conditions gathers what must hold, with its arguments.
type conditions struct {
	texts []string
	args  []any
}

func (c *conditions) add(text string, args ...any) {
	c.texts, c.args = append(c.texts, text), append(c.args, args...)
}

// same adds an equality where the value is not empty.
func (c *conditions) same(column, value string) {
	if value != "" {
		c.add(column+" = ?", value)
	}
}

func (c *conditions) all() (string, []any) {
	if len(c.texts) == 0 {
		return "1 = 1", nil
	}
	return strings.Join(c.texts, " AND "), c.args
}

// literal escapes what LIKE takes for a pattern.
func literal(word string) string {
	return strings.NewReplacer(`\`, `\\`, `%`, `\%`, `_`, `\_`).Replace(word)
}

// paging is the page of a list. Without a limit the offset needs a large one.
func paging(limit, offset int) (string, []any) {
	if limit <= 0 {
		limit = 1 << 40
	}
	return " LIMIT ? OFFSET ?", []any{limit, max(offset, 0)}
}
