//! Machines beside one, for who stands there and may take one for another.

use crate::db::Db;
use crate::jobs::confirm::Neighbour;
use crate::machines::MachineId;
use crate::on_db;

/// Machines in service in the same place, and in the places beside it; the same place first.
pub async fn neighbours(db: &Db, machine: MachineId) -> sqlx::Result<Vec<Neighbour>> {
    const SQL: &str = "SELECT n.tag, n.name, n.kind, n.place_id, p.name AS place
        FROM machines n JOIN places p ON p.id = n.place_id
        WHERE n.id <> $1 AND n.retired_on IS NULL AND n.place_id IN (
            SELECT np.id FROM places np, machines m JOIN places mp ON mp.id = m.place_id
            WHERE m.id = $1 AND (np.id = m.place_id OR np.parent_id = mp.parent_id))
        ORDER BY CASE WHEN n.place_id = (SELECT m.place_id FROM machines m WHERE m.id = $1)
            THEN 0 ELSE 1 END, n.tag LIMIT 2000";
    on_db!(db, pool => sqlx::query_as(SQL).bind(machine).fetch_all(pool).await)
}
