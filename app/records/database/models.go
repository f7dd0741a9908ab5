package database

import "context"

// modelsQuery goes from model to model by the index of the takes, and reads no take
// between two of them.
const modelsQuery = `WITH RECURSIVE met (model) AS (
		SELECT min(model) FROM take
		UNION ALL
		SELECT (SELECT min(model) FROM take WHERE take.model > met.model) FROM met WHERE met.model IS NOT NULL)
	SELECT model FROM met WHERE model <> ''
		AND EXISTS (SELECT 1 FROM take WHERE take.model = met.model AND deleted_us IS NULL) ORDER BY model`

// Models implements records.Store.
func (d *database) Models(ctx context.Context) ([]string, error) {
	ctx, cancel := d.engine.within(ctx, 0)
	defer cancel()
	models, err := collect(ctx, d.read(), modelsQuery, nil, text)
	if err != nil {
		return nil, d.explain("listing the models in", err)
	}
	return models, nil
}
