package frame

import "roundkit/db/cluster"

// Cluster returns where the database is to be: DATABASE_URL and ROUNDKIT_HOME as the
// environment has them, and the name given with --db.
func (e *Env) Cluster(o Options) cluster.Options {
	return cluster.Options{
		URL:      e.Variable("DATABASE_URL"),
		Home:     e.Variable("ROUNDKIT_HOME"),
		Database: o.Database,
	}
}
