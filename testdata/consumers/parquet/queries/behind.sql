SELECT r.thickness_mm, r.fans_rpm, t.time_s / 60 AS minutes, r.level_c - t.coolant_c AS behind_k
FROM read_parquet('thickness_and_speed/runs/*.parquet') AS r
JOIN read_parquet('thickness_and_speed/traces/*.parquet') AS t ON t.run_id = r.run_id
WHERE r.status = 'done' AND t.time_s IN (300, 600, 1200)
ORDER BY r.thickness_mm, r.fans_rpm, minutes
